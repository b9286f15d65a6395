"""Rows that belong to no device: with readings but no name, or with an unknown name and no reading."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.run import Order, run
from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET
from tests.site_builder import SiteOf, audit_of, result_of
from tests.worklist.sites import work_of

READ: dict[str, Any] = {"channel": 7, "range_high": 100}
PLANNED = [READ, READ]
NOBODY: dict[str, Any] = {"node": None, "network": None}

FIRES: list[Fires] = [
    fires("row-names-no-device", "a second row below its device", **NOBODY, planned=PLANNED,
          found=[{"channel": 7}, {"tag": None, "range_high": 100}, {"tag": "B", **READ}],
          says="1 row has readings but names no device by tag, serial number or address",
          at=[("found.csv", 3, "A")]),
    fires("row-names-no-device", "a serial number that a spreadsheet has rounded", **NOBODY, planned=PLANNED,
          found={"a.csv": [READ, READ], "b.csv": [{"tag": None, "serial": "4.02E+11", "rssi": -70}]},
          says="whose serial number has lost its digits in a spreadsheet", at=[("b.csv", 2, "B")]),
    fires("row-without-reading", "a total and a signature", **NOBODY, planned=PLANNED,
          found=[READ, READ, {"tag": "Total", "serial": "14"}, {"tag": "Signed: R. Sample"}],
          says="2 rows have no reading and name no planned device: row 4 'Total', row 5 'Signed: R. Sample'",
          at=[("found.csv", 4, "A")]),
    fires("row-without-reading", "the title of a section", **NOBODY, planned=PLANNED,
          found=[{"tag": "Pump house"}, {"tag": "A", **READ}, {"tag": "B", **READ}],
          says="1 row has no reading and names no planned device: row 2 'Pump house'"),
    fires("row-without-reading", "a note in a sheet of ours beside a tag that was planned once", **NOBODY,
          planned=PLANNED, found=[{"decimal_mark": "point", **row, "network": "North"} for row in (
              READ, READ, {"tag": "C", "note": "no node here any more"})],
          says="1 row has no reading and names no planned device: row 4 'C'"),
    fires("row-without-reading", "a remark beside a nameless reading", **NOBODY, planned=PLANNED,
          found=[READ, READ, {"tag": None, "range_high": 100}, {"tag": None, "note": "door loose"}],
          says="1 row has no reading and names no planned device: row 5 'door loose'"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("unplanned-node", "a note in a sheet of ours beside a tag that was planned once", idle=None,
           planned=PLANNED, found=[{"decimal_mark": "point", **row, "network": "North"} for row in (
               READ, READ, {"tag": "C", "note": "no node here any more"})]),
    silent("row-names-no-device", "an address tells whose it is", planned=[{"address": 1, **READ}],
           found=[{"tag": None, "network": "North", "address": 1, **READ}]),
    silent("row-names-no-device", "a device at an address of no plan is another rule's matter",
           planned=[{"address": 1}], found=[{"address": 1}, {"tag": None, "address": 9, "network": "North"}]),
    silent("row-without-reading", "a unit with its serial number was found", planned=PLANNED,
           found=[READ, READ, {"tag": "spare", "serial": "999009"}]),
    silent("row-without-reading", "a name with its network", planned=PLANNED,
           found=[READ, READ, {"tag": "N-9", "network": "North"}]),
    silent("row-without-reading", "read in another file", planned=PLANNED,
           found={"a.csv": [READ, READ, {"tag": "N-9", "channel": ""}],
                  "b.csv": [{"tag": "N-9", "address": 9}]}),
    silent("row-without-reading", "a list of names", planned=PLANNED,
           found={"a.csv": [READ, READ], "names.csv": [{"tag": "A"}, {"tag": "Z"}]}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """Such rows are reported once for each file, and are not devices."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A row that may be a device is one."""
    case.check(tmp_path)


def test_a_remark_is_no_strange_device(tmp_path: Path) -> None:
    """Nobody has to find a signature."""
    found = [READ, READ, {"tag": "Signed", "serial": "R. Sample"}]
    rules = ("unplanned-node", "row-without-reading", "row-names-no-device")
    (finding,) = audit_of(tmp_path, rules=rules, planned=PLANNED, found=found)

    assert (finding.rule, finding.level) == ("row-without-reading", "note")


def test_a_remark_that_may_hold_a_code_is_not_shown(tmp_path: Path) -> None:
    """Neither in the message nor as its evidence; a bare number in the notes may be one too."""
    found = [READ, READ, *({"tag": None, "note": text} for text in ("PIN 4711 works", "4711", "door loose"))]
    (finding,) = audit_of(tmp_path, rules="row-without-reading", planned=PLANNED, found=found)

    assert finding.message.endswith(
        "row 4 (not shown, it may hold an access code), row 5 (not shown, it may hold an access code), "
        "row 6 'door loose'"
    )
    assert "4711" not in finding.model_dump_json()


@pytest.mark.parametrize("note", ["4 May 2026", "see remarks"])
def test_the_time_in_a_remark_need_be_none(tmp_path: Path, note: str) -> None:
    """The cell under read_at says in words when the sheet was signed."""
    dated = {"read_at": "2026-05-04", **READ}
    found = [dated, dated, {"tag": "Read and signed:", "serial": "R. Sample", "read_at": note}]

    assert result_of(tmp_path, planned=PLANNED, found=found).counts.verified > 0


def test_a_time_beside_a_reading_has_to_be_one(tmp_path: Path) -> None:
    """It orders readings."""
    with pytest.raises(InputProblems, match="not a date or time"):
        audit_of(tmp_path, planned=PLANNED, found=[READ, {"read_at": "4 May 2026", **READ}])


def test_a_network_that_the_mapping_gives_makes_no_device_of_a_remark(tmp_path: Path) -> None:
    """It is in every row, including that of the signature."""
    order = SiteOf(planned=PLANNED, found=[READ, READ, {"tag": "Signed: R. Sample"}]).write(tmp_path)
    mapping = tmp_path / "m.yaml"
    mapping.write_text(
        "asfound: mapping/1\nmappings: [{files: ['found.csv'], constants: {network: North}}]\n"
    )
    result = run(Order(order.plan, order.readback, mapping=mapping, run_on="2026-05-01"))
    rules = {finding.rule for finding in result.findings}

    assert "row-without-reading" in rules
    assert "unplanned-node" not in rules


def test_a_remark_is_no_work(tmp_path: Path) -> None:
    """The list has no step for it, and `--done` does not call it a new fault."""
    planned = [{"channel": 7}]
    site = {"planned": planned, "found": [{"channel": 7}, {"tag": "Signed: R. Sample"}], **QUIET}
    assert work_of(tmp_path, **site).steps == []
