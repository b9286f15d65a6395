"""What a run has found, before the verdict: the last thing in common to a result and a work list."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from audit.checking import Checked
from audit.comparing import Difference
from audit.folding.causes import Causes
from audit.model.base import Level
from audit.model.rule import Gate
from audit.model.sample_verdict import SampleUsed
from audit.model.site import Site
from audit.reading.inputs import Inputs
from audit.reading.rules import Rulebook
from audit.waiving import Waiving


@dataclass(frozen=True, slots=True)
class Audited:
    """A site with everything found on it, and what it is judged by."""

    site: Site
    differences: Mapping[tuple[int, str], Difference]
    """Block and setting → what differs."""
    checked: Checked
    waiving: Waiving
    causes: Causes
    book: Rulebook
    gate: Gate
    fail_on: Level
    """The level at which the run fails: the gate's, unless another was asked for."""
    day: datetime.date
    inputs: Inputs
    sample: SampleUsed | None = None
    """What the sample showed, if there is one."""
