"""Folding of columns of tags or serial numbers that have slipped by a row."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes

SERIALS = ["S1", "S2", "S3", "S4", "S5"]
OWN: dict[str, Any] = {"address": [11, 12, 13, 14, 15], "alarm_high": [90, 120, 100, 140, 110]}
PLANNED = nodes(5, serial=SERIALS, **OWN)
UP = [*SERIALS[1:], None]
"""The serial numbers moved up by a row, the last cell left empty."""


def test_a_column_of_serial_numbers_that_moved_up_is_one_cause(tmp_path: Path) -> None:
    """Every setting is as planned for the tag beside it, so nothing else differs."""
    cause = fold(tmp_path, "names-slipped", planned=PLANNED, found=nodes(5, serial=UP, **OWN))

    assert cause.message == (
        "4 rows, N01 to N04, each have the serial number of the next tag, and their settings are as planned "
        "for the tags: the serial numbers have slipped by a row"
    )
    assert {name.split("/")[0] for name in cause.dependents} == {"tag-serial-mismatch"}


def test_a_column_of_tags_that_moved_takes_along_who_fell_off(tmp_path: Path) -> None:
    """The settings go with the serial numbers; the last device was written under its own tag as well."""
    found = [row | {"tag": f"N{n:02}"} for n, row in enumerate([*PLANNED[1:], PLANNED[4]], 1)]

    cause = fold(tmp_path, "names-slipped", planned=PLANNED, found=found)

    assert "N02 to N05, each have the serial number of the next tag" in cause.message
    assert cause.message.endswith("as planned for the serial numbers: the tags have slipped by a row")
    assert "node-not-read/North/N01" in cause.dependents


@pytest.mark.parametrize("step", [1, -1], ids=["up", "down"])
def test_a_column_of_the_plan_that_moved_takes_along_whose_number_fell_out(step: int, tmp_path: Path) -> None:
    """The device at the end was read with a serial number that the plan no longer has."""
    moved = ([*SERIALS[1:], None] if step == 1 else [None, *SERIALS[:-1]])  # fmt: skip
    planned, found = nodes(5, serial=moved, **OWN), nodes(5, serial=SERIALS, **OWN)

    (cause,) = causes(tmp_path, planned=planned, found=found)

    end = "N01" if step == 1 else "N05"
    assert (cause.rule, len(cause.dependents)) == ("names-slipped", 4)
    assert f"tag-serial-mismatch/North/{end}" in cause.dependents


@pytest.mark.parametrize("order", [[4, 3, 2, 1, 0], [2, 0, 4, 1, 3]], ids=["backwards", "mixed"])
def test_the_order_of_the_rows_does_not_matter(order: list[int], tmp_path: Path) -> None:
    """Somebody has sorted the sheet since: the plan's order shows that it slipped."""
    rows = nodes(5, serial=UP, **OWN)

    cause = fold(tmp_path, "names-slipped", planned=PLANNED, found=[rows[n] for n in order])

    assert "4 rows, N01 to N04, each have the serial number of the next tag" in cause.message


def test_a_sheet_in_an_order_of_its_own_slips_in_that(tmp_path: Path) -> None:
    """Every device has the serial number of the row below, though the plan has them in another order."""
    rows = [PLANNED[n] for n in (0, 2, 4, 1, 3)]
    below = [*(row["serial"] for row in rows[1:]), None]
    found = [row | {"serial": serial} for row, serial in zip(rows, below, strict=True)]

    cause = fold(tmp_path, "names-slipped", planned=PLANNED, found=found)

    assert "4 rows, N01 to N02, each have the serial number of the next tag" in cause.message


def test_rows_without_serial_number_go_along_by_their_settings(tmp_path: Path) -> None:
    """The tags moved down by a row, and every second serial number was left out."""
    found = [row | {"tag": f"N{min(n + 2, 5):02}"} for n, row in enumerate(PLANNED)]
    found[1]["serial"] = found[3]["serial"] = None

    cause = fold(tmp_path, "names-slipped", planned=PLANNED, found=found)

    assert (
        "4 rows, N01 to N04, each have the serial number, or the settings where that is blank,"
        in cause.message
    )
    assert {name.split("/")[0] for name in cause.dependents} == {
        "tag-serial-mismatch", "matched-by-settings", "tag-duplicate",
    }  # fmt: skip


def test_units_that_were_passed_round_with_their_settings(tmp_path: Path) -> None:
    """Their tags stayed where they are mounted, or the tags were mixed up."""
    found = [
        row | {"tag": tag} for row, tag in zip(PLANNED, ["N03", "N01", "N02", "N04", "N05"], strict=True)
    ]

    cause = fold(tmp_path, "names-slipped", planned=PLANNED, found=found)

    assert cause.message.endswith(
        "for the serial numbers: the tags, or the units themselves, have been passed round"
    )


def test_where_no_setting_decides_it_may_be_either(tmp_path: Path) -> None:
    """All nodes have the same settings."""
    planned, found = nodes(5, serial=SERIALS), nodes(5, serial=UP)

    (cause,) = [one for one in causes(tmp_path, planned=planned, found=found) if one.rule == "names-slipped"]

    assert cause.message.endswith("or the tags have slipped by a row, and no setting shows which")


def test_what_else_differs_stays_a_cause_of_its_own(tmp_path: Path) -> None:
    """An alarm that is planned for no device is not explained by the column."""
    found = nodes(5, serial=UP, **OWN)
    found[2]["alarm_high"] = 555

    rules = {(one.rule, one.node) for one in causes(tmp_path, planned=PLANNED, found=found)}
    assert rules == {("names-slipped", None), ("alarm-off-plan", "N03")}


FIRES: list[Fires] = [
    fires("names-slipped", "serial numbers one row down", node=None,
          others=["N02", "N03", "N04", "N05"], planned=PLANNED,
          found=nodes(5, serial=[None, *SERIALS[:4]], **OWN),
          says="4 rows, N02 to N05, each have the serial number of the previous tag",
          at=[("found.csv", 3, "B")]),
    fires("names-slipped", "three that were passed round", node=None, others=["N01", "N02", "N03"],
          planned=PLANNED, found=nodes(5, serial=["S2", "S3", "S1", "S4", "S5"], **OWN),
          says="the serial numbers of N01, N02, N03 are each beside another's tag, in a ring, and their "
               "settings are as planned for the tags: the serial numbers have been passed round"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("names-slipped", "two rows", idle=None, planned=PLANNED,
           found=nodes(5, serial=["S2", "S3", None, "S4", "S5"], **OWN)),
    silent("names-slipped", "serial numbers that go to and fro", idle=None, planned=PLANNED,
           found=nodes(5, serial=["S3", "S4", None, "S2", "S5"], **OWN)),
    silent("names-slipped", "spares that are not in the plan", idle=None, planned=PLANNED,
           found=nodes(5, serial=["X2", "X3", "X4", "X5", "X6"], **OWN)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
