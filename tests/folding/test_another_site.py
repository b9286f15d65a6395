"""Folding of a file from another site with the same tags."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.run import run
from tests import drifts
from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes
from tests.site_builder import SiteOf

PLANNED: list[dict[str, Any]] = [
    {"tag": tag, "serial": serial, "address": k, "range_high": 100}
    for k, (tag, serial) in enumerate((("A", "S1"), ("B", "S2"), ("C", "S3"), ("D", "S4")), 11)
]
THEIRS: list[dict[str, Any]] = [
    row | {"serial": f"K{k}", "range_high": 250, "address": 40 + k} for k, row in enumerate(PLANNED)
]
WITH_ONE_MORE = [*THEIRS, THEIRS[0] | {"tag": "E", "serial": "K9", "address": 50}]
SITE: dict[str, Any] = {"node": None, "network": "North"}


def test_readings_in_the_sheet_of_another_site_go_under_it(tmp_path: Path) -> None:
    """Nobody is sent to four devices to set them as on another site."""
    (cause,) = causes(tmp_path, planned=PLANNED, found=WITH_ONE_MORE)

    assert (cause.rule, cause.others) == ("sheet-of-another-site", ["A", "B", "C", "D"])
    assert cause.message.endswith(
        "found.csv is known, though tags in it are: it may be the sheet of another site"
    )
    assert {name.split("/")[0] for name in cause.dependents} >= {"tag-serial-mismatch", "unplanned-node"}


def test_tags_in_place_of_serial_numbers_are_not_another_site(tmp_path: Path) -> None:
    """The devices were identified by their addresses; tags and serial numbers are in each other's column."""
    crossed = [row | {"tag": row["serial"], "serial": row["tag"]} for row in PLANNED]
    (cause,) = causes(tmp_path, planned=PLANNED, found=crossed)

    assert cause.rule == "sheet-of-another-site"
    assert cause.message.endswith("are tags of the plan: the two are swapped")


def test_drift_reports_it_once_too(tmp_path: Path) -> None:
    """Not all units were exchanged, and none was added."""
    theirs = {tag: {"serial": f"55000{k}", "high_alarm": "650"}
              for k, tag in enumerate(("GW-1", "N-1", "N-2", "N-3"))}  # fmt: skip
    more = {"tag": "N-9", "serial": "550009", "network": "Main", "channel": "7", "address": "19"}
    result = drifts.result_of(tmp_path, now=theirs, more=[more])

    (cause,) = [finding for finding in result.findings if finding.caused_by is None]
    assert cause.rule == "sheet-of-another-site"
    assert {name.split("/")[0] for name in cause.dependents} == {
        "unit-exchanged", "drift-unexplained", "node-added",
    }  # fmt: skip


def test_the_tables_of_one_file_are_taken_together(tmp_path: Path) -> None:
    """A second row of headings begins a table of its own, but it is still the same file."""
    order = SiteOf(planned=PLANNED, found=THEIRS).write(tmp_path)
    lines = (tmp_path / "found.csv").read_text().splitlines()
    for last, whose in (("S4", []), ("K3", ["sheet-of-another-site"])):
        rows = [*lines[:4], lines[0], lines[4].replace("K3", last)]
        (tmp_path / "found.csv").write_text("\n".join(rows) + "\n")
        found = [one for one in run(order).findings if one.rule == "sheet-of-another-site"]
        assert [one.rule for one in found] == whose
    assert found[0].message.startswith("none of the 4 serial numbers")


FIRES: list[Fires] = [
    fires("sheet-of-another-site", "its tags are planned, its serial numbers are not", **SITE,
          planned=PLANNED, found=WITH_ONE_MORE, says="none of the 5 serial numbers",
          others=("A", "B", "C", "D"), at=[("found.csv", 2, "B")]),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("sheet-of-another-site", "one serial number is known", planned=PLANNED,
           found=[*THEIRS[:3], PLANNED[3]]),
    silent("sheet-of-another-site", "two devices alone", planned=PLANNED[:2], found=THEIRS[:2]),
    silent("sheet-of-another-site", "the numbers have lost their last digits", planned=PLANNED,
           found=[row | {"serial": "4.1E+07"} for row in PLANNED]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the file."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A few exchanged units do not make it another site's file."""
    case.check(tmp_path)
