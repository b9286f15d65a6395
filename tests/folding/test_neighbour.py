"""Folding of single nodes that show their neighbour's row."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes

ADDRESSES, HIGH, ALARMS = [11, 23, 35, 47], [100, 250, 300, 450], [90, 200, 280, 400]


def rows(*shown: int) -> list[dict[str, Any]]:
    """Return four nodes that each show the row with this number."""
    return nodes(4, address=[ADDRESSES[n] for n in shown], range_high=[HIGH[n] for n in shown],
                 alarm_high=[ALARMS[n] for n in shown])  # fmt: skip


PLANNED = rows(0, 1, 2, 3)


@pytest.mark.parametrize("beside", [0, 2], ids=["the row above", "the row below"])
def test_one_node_with_the_row_beside_its_own_is_one_cause(beside: int, tmp_path: Path) -> None:
    """Address, range and alarm of the next row are one slip of the eye, and the duplicate follows from it."""
    shown = [0, beside, 2, 3]

    cause = fold(tmp_path, "neighbour-row-shown", planned=PLANNED, found=rows(*shown))

    other = f"N{beside + 1:02}"
    assert (cause.node, cause.others) == ("N02", [other])
    assert cause.message == (f"it shows what is planned for {other}: address, range_high, alarm_high")
    assert {"address-duplicate", "range-differs", "alarm-off-plan"} <= {
        d.split("/")[0] for d in cause.dependents
    }


def test_two_nodes_that_show_each_others_rows_are_one_cause(tmp_path: Path) -> None:
    """Whether boxes or rows were swapped, it was done once; the swapped addresses are part of it."""
    cause = fold(tmp_path, "neighbour-row-shown", planned=PLANNED, found=rows(0, 2, 1, 3))

    assert (cause.node, cause.others) == ("N02", ["N03"])
    assert cause.message.startswith("N02 and N03 show each other's values: address,")
    assert "address-pair-swapped" in {d.split("/")[0] for d in cause.dependents}


def test_a_row_of_another_type_may_be_the_neighbour(tmp_path: Path) -> None:
    """In the sheet the next line counts, whatever its device type."""
    types = ["probe", "meter", "meter", "probe"]
    planned = [row | {"type": kind} for row, kind in zip(PLANNED, types, strict=True)]

    cause = fold(tmp_path, "neighbour-row-shown", planned=planned, found=rows(1, 1, 2, 3))

    assert (cause.node, cause.others) == ("N01", ["N02"])


def test_what_else_differs_stays_a_cause_of_its_own(tmp_path: Path) -> None:
    """A seal that is planned for no device is not explained by the neighbour's row."""
    planned = [row | {"seal": "S-1"} for row in PLANNED]
    found = [row | {"seal": "S-9" if n == 1 else "S-1"} for n, row in enumerate(rows(0, 2, 2, 3))]

    assert {(f.rule, f.node) for f in causes(tmp_path, planned=planned, found=found)} == {
        ("neighbour-row-shown", "N02"),
        ("setting-differs", "N02"),
    }


def test_a_row_that_was_copied_down_is_one_cause(tmp_path: Path) -> None:
    """Each shows the address, range and alarm of the first; none of the four was keyed wrongly by itself."""
    cause = fold(tmp_path, "neighbour-row-shown", planned=PLANNED, found=rows(0, 0, 0, 0))

    assert cause.message == "on 3 devices: it shows what is planned for N01: address, range_high, alarm_high"
    assert cause.others == ["N02", "N03", "N04"]


def test_a_row_that_repeats_the_one_above_with_its_fault_is_one_cause(tmp_path: Path) -> None:
    """N02 has a wrong high alarm, and so has the copy of its row: nobody set 199 on N03."""
    above = PLANNED[1] | {"alarm_high": 199}
    found = [PLANNED[0], above, above | {"tag": "N03"}, PLANNED[3]]
    one, other = sorted(causes(tmp_path, planned=PLANNED, found=found), key=lambda f: f.node or "")

    assert (one.rule, one.node) == ("alarm-off-plan", "N02")
    assert (other.rule, other.node, other.others) == ("neighbour-row-shown", "N03", ["N02"])
    assert other.message == "its row repeats what was found on N02: address, range_high, alarm_high"


def test_a_row_that_a_third_node_shows_as_well_is_not_the_neighbours(tmp_path: Path) -> None:
    """Three nodes have the same wrong limits; that one has its neighbour's address is another slip."""
    wrong = {"range_high": 777, "alarm_high": 700}
    found = [row | (wrong if n in (1, 2, 3) else {}) for n, row in enumerate(PLANNED)]
    found[2] = found[2] | {"address": PLANNED[1]["address"]}

    roots = causes(tmp_path, planned=PLANNED, found=found)

    assert "neighbour-row-shown" not in {f.rule for f in roots}


def test_equal_values_of_two_neighbours_with_their_own_addresses_are_no_copied_row(tmp_path: Path) -> None:
    """Both were set to other limits; each has its own address."""
    wrong = {"range_high": 777, "alarm_high": 700, "alarm_low": 70}
    found = [row | (wrong if n in (1, 2) else {}) for n, row in enumerate(PLANNED)]

    roots = causes(tmp_path, planned=[row | {"alarm_low": 20} for row in PLANNED], found=found)
    assert "neighbour-row-shown" not in {f.rule for f in roots}


def test_faults_that_all_nodes_share_are_no_copied_row(tmp_path: Path) -> None:
    """One of them was also left at its neighbour's address, and has alarms of its own."""
    planned = [row | {"report_interval": 300, "encryption": True} for row in PLANNED]
    wrong = {"report_interval": 60, "encryption": False}
    found = [row | wrong for row in planned]
    found[1] = found[1] | {"address": PLANNED[0]["address"]}

    rules = [f.rule for f in causes(tmp_path, planned=planned, found=found)]

    assert sorted(rules) == ["address-differs", "same-on-many-nodes", "same-on-many-nodes"]


def test_a_template_is_no_neighbours_row(tmp_path: Path) -> None:
    """Values planned for most nodes, and not only for the neighbour, were set from a template."""
    usual = {"range_high": 100, "alarm_high": 90, "alarm_low": 10}
    special = {"range_high": 300, "alarm_high": 250, "alarm_low": 40}
    planned = [row | (special if n == 1 else usual) for n, row in enumerate(nodes(5))]

    rules = {f.rule for f in causes(tmp_path, planned=planned, found=[row | usual for row in nodes(5)])}

    assert "neighbour-row-shown" not in rules
    assert "range-differs" in rules


FIRES: list[Fires] = [
    fires("neighbour-row-shown", "three settings", "address", "range_high", "alarm_high", node="N02",
          others=["N03"], planned=PLANNED, found=rows(0, 2, 2, 3),
          says="it shows what is planned for N03", at=[("found.csv", 3, "B"), ("North.csv", 3, "B")]),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("neighbour-row-shown", "two settings", idle=None,
           planned=nodes(3, address=[11, 23, 35], range_high=[100, 250, 300]),
           found=nodes(3, address=[11, 35, 35], range_high=[100, 300, 300])),
    silent("neighbour-row-shown", "a row further away, but for its address", idle=None, planned=PLANNED,
           found=[rows(3, 1, 2, 3)[0] | {"address": 11}, *PLANNED[1:]]),
    silent("neighbour-row-shown", "another network's row", idle=None,
           planned=[row | {"network": name} for row, name in zip(PLANNED, "AABB", strict=True)],
           found=rows(0, 2, 2, 3)),
    silent("neighbour-row-shown", "a run of rows has slipped", idle=None, planned=PLANNED,
           found=rows(1, 2, 3, 3)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the node, with the neighbour whose row it shows."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
