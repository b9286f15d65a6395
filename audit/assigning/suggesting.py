"""Suggesting: the changes to a plan that leave it without conflicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from audit.assigning.addresses import addresses
from audit.assigning.channels import channels
from audit.assigning.patching import diff
from audit.assigning.places import by_hand, of_several
from audit.errors import InputProblems, Problem
from audit.model.suggestion import Suggestion
from audit.pairing.pair import pair
from audit.reading.files import read_bytes
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan

CAUTION = (
    "A suggestion authorises nothing. Change the plan under a change record first, then the devices in the "
    "order of `asfound worklist`, which strands none without need."
)
CAUTION_HEARD = (
    "Interference range is calculated from positions and an exponent, not measured: it leaves out other "
    "users of the band, hills and walls. Listen on a channel before it is used. Channels are set by licence: "
    "check with the authority."
)


MEND = {
    "channels": "give `position` for gateways and nodes; otherwise nobody knows which networks are near",
    "addresses": "give each network its block, for instance `addresses: {first: 31, last: 53}`",
}


@dataclass(frozen=True, slots=True)
class Suggested:
    """A suggestion, its diff, and the files that it is based on."""

    suggestion: Suggestion
    diff: str
    inputs: Sequence[str]


def suggest(
    path: Path, what: Literal["channels", "addresses"], required_db: float, exponent: float
) -> Suggested:
    """Return what to change in a plan. Raises InputProblems where the plan cannot be read."""
    inputs = Inputs()
    plan = read_plan(path, inputs)
    site = pair(plan, [])
    found = channels(site, required_db, exponent) if what == "channels" else addresses(site)
    if found.not_looked_at and not (found.kept or found.changes or found.impossible):
        raise InputProblems(Problem(reason, MEND[what], plan.name) for reason in found.not_looked_at)
    with_codes = {file.file for file in inputs.files.values() if file.sha256 is None}
    shared = of_several(site, "channel" if what == "channels" else "address")
    text, left = diff(found.changes, _text, with_codes, shared)
    suggestion = Suggestion(
        schema_="asfound/suggestion/1",
        site=plan.file.site.name,
        plan=plan.name,
        what=what,
        changes=list(found.changes),
        by_hand=[by_hand(one, shared) for one in left],
        impossible=list(found.impossible),
        kept=found.kept,
        quality=found.quality,
        not_looked_at=list(found.not_looked_at),
        assumed=_assumed(required_db, exponent) if what == "channels" else [],
        cautions=[CAUTION, CAUTION_HEARD] if what == "channels" else [CAUTION],
    )
    return Suggested(suggestion, text, [file.file for file in inputs.files.values()])


def _text(file: str) -> str | None:
    """Return the text of a file as it stands there, or None of one that is not in UTF-8."""
    try:
        return read_bytes(Path(file)).data.decode("utf-8")
    except UnicodeDecodeError:
        return None


def _assumed(required_db: float, exponent: float) -> list[str]:
    return [
        f"a wanted signal has to be {required_db:g} dB above another network's (judgement; `--required-db`)",
        f"path loss exponent {exponent:g} where the plan gives none (judgement; `--exponent`)",
        "neighbouring channels do not interfere with each other",
    ]
