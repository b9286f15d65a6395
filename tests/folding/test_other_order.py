"""Folding of columns that were sorted without the rest of their rows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes, fold, nodes
from tests.worklist.sites import work_of

OWN = [12, 11, 18, 13, 15, 17]
"""Addresses as they were given out, in no order."""
SORTED = sorted(OWN)


def test_a_column_that_was_sorted_is_one_cause_with_the_pairs_in_it(tmp_path: Path) -> None:
    """Some have changed places in pairs, others in a ring; one sorting did both."""
    cause = fold(tmp_path, "column-in-other-order", planned=nodes(6, address=OWN),
                 found=nodes(6, address=SORTED))  # fmt: skip

    assert cause.message.startswith(
        "address: 6 devices each show the value that is planned for another of them"
    )
    assert cause.others == ["N01", "N02", "N03", "N04", "N05", "N06"]
    assert {name.split("/")[0] for name in cause.dependents} == {"address-differs", "address-pair-swapped"}


@pytest.mark.parametrize("planned_is_sorted", [True, False])
def test_the_plan_or_the_readback_may_be_the_sorted_one(tmp_path: Path, planned_is_sorted: bool) -> None:
    """The two lists alone do not show it."""
    planned, found = (SORTED, OWN) if planned_is_sorted else (OWN, SORTED)

    cause = fold(tmp_path, "column-in-other-order", planned=nodes(6, address=planned),
                 found=nodes(6, address=found))  # fmt: skip

    assert len(cause.others) == 6


def test_no_address_is_changed_before_it_is_known_which_list_was_sorted(tmp_path: Path) -> None:
    """If the plan was sorted, six changes through a spare would undo what is right: that comes first."""
    site: dict[str, Any] = {"planned": nodes(6, address=SORTED), "found": nodes(6, address=OWN)}
    first, *others = work_of(tmp_path, **site, **QUIET).steps

    assert "set none of the devices" in first.do
    assert not first.changes
    assert any(step.changes for step in others)


SERIALS = ["S1", "S2", "S3", "S4", "S5", "S6"]


def test_a_column_of_tags_that_was_sorted_is_one_cause(tmp_path: Path) -> None:
    """It is unlikely that three pairs of units were swapped on one site."""
    planned = nodes(6, serial=SERIALS, address=OWN)
    found = [row | {"tag": f"N{n:02}"} for n, row in zip([2, 1, 4, 3, 6, 5], planned, strict=True)]

    cause = fold(tmp_path, "column-in-other-order", planned=planned, found=found)

    assert cause.message.startswith(
        "the tags of 6 devices are each beside the serial number of another of them"
    )
    assert {name.split("/")[0] for name in cause.dependents} == {"units-swapped"}


def test_three_pairs_of_many_units_are_three_causes(tmp_path: Path) -> None:
    """A sorted column leaves few rows in place; here ten of sixteen are in theirs."""
    planned = nodes(16, serial=[f"S{n}" for n in range(16)], address=list(range(11, 27)))
    order = [2, 1, 3, 4, 5, 7, 6, 8, 9, 10, 11, 12, 13, 14, 16, 15]
    found = [row | {"tag": f"N{n:02}"} for n, row in zip(order, planned, strict=True)]

    assert [one.rule for one in causes(tmp_path, planned=planned, found=found)] == ["units-swapped"] * 3


def test_two_pairs_of_units_are_two_causes(tmp_path: Path) -> None:
    """That can happen."""
    planned = nodes(6, serial=SERIALS, address=OWN)
    found = [row | {"tag": f"N{n:02}"} for n, row in zip([2, 1, 4, 3, 5, 6], planned, strict=True)]

    assert [one.rule for one in causes(tmp_path, planned=planned, found=found)] == ["units-swapped"] * 2


FIRES: list[Fires] = [
    fires("column-in-other-order", "ranges", "range_high", node=None, **QUIET,
          planned=nodes(5, range_high=[100, 250, 300, 450, 500]),
          found=nodes(5, range_high=[500, 300, 450, 250, 100]), others=["N01", "N02", "N03", "N04", "N05"],
          says="range_high: 5 devices each show the value that is planned for another of them"),
    fires("column-in-other-order", "beside many without a plan", "range_high", node=None, **QUIET,
          planned=nodes(11, range_high=[100, 250, 300, 450, 500, *([None] * 6)]),
          found=nodes(11, range_high=[500, 300, 450, 250, 100, *range(601, 607)]),
          others=["N01", "N02", "N03", "N04", "N05"],
          says="range_high: 5 devices each show the value that is planned for another of them"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("column-in-other-order", "two pairs", idle=None, **QUIET,
           planned=nodes(4, address=[11, 12, 13, 14]), found=nodes(4, address=[12, 11, 14, 13])),
    silent("column-in-other-order", "one that nobody is planned to have", idle=None, **QUIET,
           planned=nodes(5, address=[11, 12, 13, 14, 15]), found=nodes(5, address=[15, 14, 11, 12, 99])),
    silent("column-in-other-order", "three pairs of fourteen nodes", idle=None, **QUIET,
           planned=nodes(14, address=list(range(11, 25))),
           found=nodes(14, address=[12, 11, *range(13, 19), 20, 19, 21, 22, 24, 23])),
    silent("column-in-other-order", "two values", idle=None, **QUIET,
           planned=nodes(6, report_interval=[30, 60, 30, 60, 30, 60]),
           found=nodes(6, report_interval=[60, 30, 60, 30, 60, 30])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The rule names the devices and the setting."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """The rule reports nothing."""
    case.check(tmp_path)
