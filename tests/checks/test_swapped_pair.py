"""swapped-pair: two nodes of a network have each other's address."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of

TWO = [{"address": 3}, {"address": 4}]

FIRES = [
    fires("address-pair-swapped", "two nodes", "address", others=["B"],
          planned=TWO, found=[{"address": 4}, {"address": "03"}],
          says="A has the address planned for B (4), and B the one planned for A (03)",
          at=[("found.csv", 2, "B"), ("found.csv", 3, "B")]),
    fires("address-pair-swapped", "two pairs at once", "address", others=["B"], count=2,
          planned=[*TWO, {"address": 5}, {"address": 6}],
          found=[{"address": 4}, {"address": 3}, {"address": 6}, {"address": 5}]),
    fires("address-pair-swapped", "nodes of two device types", "address", others=["B"],
          planned=[{"address": 3}, {"address": 4, "type": "meter"}], found=[{"address": 4}, {"address": 3}]),
]  # fmt: skip

SILENT = [
    silent("address-pair-swapped", "as planned", planned=TWO, found=[{"address": 3}, {"address": 4}]),
    silent("address-pair-swapped", "a ring of three is no pair",
           planned=[*TWO, {"address": 5}], found=[{"address": 4}, {"address": 5}, {"address": 3}]),
    silent("address-pair-swapped", "one of them only", planned=TWO, found=[{"address": 4}, {"address": 4}]),
    silent("address-pair-swapped", "in two networks",
           planned=[{"address": 3}, {"address": 4, "network": "South"}],
           found=[{"address": 4}, {"address": 3}]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """Two nodes that have each other's value are one finding, which names both."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Values that are not swapped between two nodes of one network are not a pair."""
    case.check(tmp_path)


def test_both_differences_are_listed_under_the_swap(tmp_path: Path) -> None:
    """The two wrong addresses are symptoms of the swap, so one cause is left."""
    findings = audit_of(tmp_path, planned=TWO, found=[{"address": 4}, {"address": 3}])

    (swap,) = [f for f in findings if f.rule == "address-pair-swapped"]
    differing = [f for f in findings if f.rule == "address-differs"]
    assert [f.node for f in differing] == ["A", "B"]
    assert {f.caused_by for f in differing} == {swap.id}


def test_boxes_exchanged_and_the_addresses_left_are_one_cause(tmp_path: Path) -> None:
    """The serial numbers show that the units changed places; the addresses went with them."""
    ranged = [row | {"range_high": n, "alarm_high": n} for n, row in enumerate(TWO, 40)]
    planned = [row | {"serial": serial} for row, serial in zip(ranged, ("S1", "S2"), strict=True)]
    found = [planned[0] | {"tag": "A", "serial": "S2", "address": 4},
             planned[1] | {"tag": "B", "serial": "S1", "address": 3}]  # fmt: skip
    findings = audit_of(tmp_path, planned=planned, found=found)

    (cause,) = [f for f in findings if f.rule == "units-swapped"]
    exchanged = [f for f in findings if f.rule in ("address-differs", "address-pair-swapped")]
    assert len(exchanged) == 3
    assert {f.caused_by for f in exchanged} == {cause.id}


def test_two_device_types_may_name_the_setting_differently(tmp_path: Path) -> None:
    """Both differences are listed under the swap, whatever their settings are called."""
    findings = audit_of(
        tmp_path, planned=[{"address": 3}, {"addr": 4, "type": "meter"}], found=[{"address": 4}, {"addr": 3}],
        meter_settings={"address": None, "addr": {"kind": "integer", "role": "address"}},
    )  # fmt: skip

    (swap,) = [f for f in findings if f.rule == "address-pair-swapped"]
    assert (swap.setting, swap.planned, swap.found) == ("address", "3", "4")
    assert {f.caused_by for f in findings if f.rule == "address-differs"} == {swap.id}
