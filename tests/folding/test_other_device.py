"""Folding of rows that show another device, as its serial number reveals."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, silent
from tests.folding.sites import causes

TWO = [{"serial": "510011", "address": 11}, {"serial": "510012", "address": 12}]


def test_a_device_read_twice_is_one_cause(tmp_path: Path) -> None:
    """A was read a second time in place of B: its serial number and its address show it."""
    (cause,) = causes(tmp_path, planned=TWO, found=[TWO[0], TWO[0] | {"tag": "B"}])

    assert (cause.rule, cause.node) == ("tag-serial-mismatch", "B")
    assert cause.message == "B is planned with serial 510012 and was found with 510011, the serial of A"
    assert sorted(name.split("/")[0] for name in cause.dependents) == [
        "address-differs", "address-duplicate", "serial-duplicate",
    ]  # fmt: skip


def test_what_neither_of_them_has_stays_a_cause(tmp_path: Path) -> None:
    """The address is that of a third device."""
    rules = {
        f.rule
        for f in causes(tmp_path, planned=TWO, found=[TWO[0], {"tag": "B", "serial": "510011", "address": 9}])
    }

    assert rules == {"tag-serial-mismatch", "address-differs"}


@pytest.mark.parametrize(("one", "other"), [(1, 2), (0, 3)], ids=["neighbours", "far apart"])
def test_units_exchanged_and_set_in_part_for_their_new_places_are_one_cause(
    tmp_path: Path, one: int, other: int
) -> None:
    """The address is as planned for the place, the alarms for the box: the exchange explains what differs."""
    planned = [{"serial": f"S{n}", "address": 11 + n, "alarm_low": 10 + n, "alarm_high": 90 + n}
               for n in range(4)]  # fmt: skip
    found = [dict(row) for row in planned]
    for n, k in ((one, other), (other, one)):
        found[n] = planned[k] | {"tag": "ABCD"[n], "address": planned[n]["address"]}

    (cause,) = causes(tmp_path, planned=planned, found=found)

    assert (cause.rule, cause.node, cause.others) == ("units-swapped", "ABCD"[one], ["ABCD"[other]])
    assert sorted(name.split("/")[0] for name in cause.dependents) == [
        "address-differs", "address-differs", "address-pair-swapped",
    ]  # fmt: skip


FIRES: list[Fires] = []

SILENT: list[Silent] = [
    silent("values-of-other-device", "never a finding itself", idle=None, planned=TWO,
           found=[TWO[0], TWO[0] | {"tag": "B"}]),
]  # fmt: skip


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
