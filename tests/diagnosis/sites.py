"""Small sites with a node that does not join: written in one call, and examined.

    case = case_of(tmp_path, found=[{"channel": 8}, {}], lists={"list.csv": [{"tag": "B"}]})

The node is A; B, C … are its siblings. Whatever is not given is as `tests/site_builder.py` has it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import read_causes
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.examined import Case, Examined, Files, examine
from audit.diagnosis.site import case_of as find
from audit.model.diagnosis import NodeDiagnosis
from audit.model.joining import CausesFile
from audit.reading.inputs import Inputs
from tests.site_builder import Row, SiteOf, write_csv

THREE: tuple[Row, ...] = ({"address": 31}, {"address": 32}, {"address": 33})
"""Three planned nodes: A, B, C."""


def our_causes() -> CausesFile:
    """Return the causes that come with the code."""
    return read_causes(None, Inputs()).file


def record(what: str = "setting", date: str = "2026-03-20", **keys: Any) -> dict[str, Any]:
    """Return a change record for node A, or for what `keys` names."""
    named = {} if {"node", "network"} & keys.keys() else {"node": "A"}
    return {"id": f"CR-{date}", "what": what, "approved_by": "K. Sample", "date": date, **named, **keys}


def examined(
    folder: Path,
    lists: Mapping[str, Sequence[Row]] | None = None,
    changes: Sequence[Mapping[str, Any]] = (),
    on: str = "",
    inputs: Inputs | None = None,
    **site: Any,
) -> Examined:
    """Write a site, its gateway lists and change records, and return what is known of it on a day."""
    order = SiteOf(**{"planned": THREE, **site}).write(folder)
    for name, rows in (lists or {}).items():
        write_csv(folder / name, [{key: str(text) for key, text in row.items()} for row in rows])
    records = folder / "changes.json"
    if changes:
        records.write_text(json.dumps({"asfound": "changes/1", "changes": changes}), encoding="utf-8")
    lists_given = [folder / name for name in lists or ()]
    files = Files(order.plan, order.readback, lists_given, changes=[records] if changes else [], on=on)
    return examine(files, our_causes(), inputs or Inputs())


def case_of(
    folder: Path, tag: str = "A", lists: Mapping[str, Sequence[Row]] | None = None, **site: Any
) -> Case:
    """Return a node of a site that is written with these arguments."""
    return find(examined(folder, lists, **site), tag)


def diagnosed(
    folder: Path,
    asked: Asked | None = None,
    lists: Mapping[str, Sequence[Row]] | None = None,
    **site: Any,
) -> NodeDiagnosis:
    """Return the diagnosis of node A of a site that is written with these arguments."""
    return diagnose(case_of(folder, "A", lists, **site), asked or Asked())


def now(node: NodeDiagnosis, cause: str) -> float:
    """Return how probable a cause is."""
    return next(one.posterior for one in node.causes if one.id == cause)
