"""Folding of two columns of a node table that are swapped."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes, nodes

EXCHANGED: dict[str, Any] = {"alarm_low": [80, 70, 60], "alarm_high": [20, 10, 5]}
TURNED: dict[str, Any] = {"alarm_low": [20, 10, 5], "alarm_high": [80, 70, 60]}


def test_two_columns_of_a_table_that_are_exchanged_are_one_cause(tmp_path: Path) -> None:
    """One line of the mapping was wrong, but no setpoint."""
    (cause,) = causes(tmp_path, planned=nodes(3, **EXCHANGED))

    assert (cause.rule, cause.others) == ("plan-columns-swapped", ["N01", "N02", "N03"])
    assert {name.split("/")[0] for name in cause.dependents} == {"alarm-order-wrong"}


def test_devices_that_are_set_as_was_meant_go_along(tmp_path: Path) -> None:
    """They were set from the right list: nothing has to be done at any of them."""
    (cause,) = causes(tmp_path, planned=nodes(3, **EXCHANGED), found=nodes(3, **TURNED))

    assert cause.rule == "plan-columns-swapped"
    assert {name.split("/")[0] for name in cause.dependents} == {"alarm-order-wrong", "alarm-off-plan"}
    assert len(cause.dependents) == 9


FIRES: list[Fires] = [
    fires("plan-columns-swapped", "low and high alarm", "alarm_low", "alarm_high", node=None,
          others=["N01", "N02", "N03"], side="planned", **QUIET, planned=nodes(3, **EXCHANGED),
          says="alarm_low (column B, 'alarm_low') and alarm_high (column C, 'alarm_high') seem to be "
               "swapped in "),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("plan-columns-swapped", "one row of the table is in order", **QUIET,
           planned=[*nodes(3, **EXCHANGED), {"tag": "N04", "alarm_low": 5, "alarm_high": 50}]),
    silent("plan-columns-swapped", "two devices", **QUIET,
           planned=nodes(2, alarm_low=[80, 70], alarm_high=[20, 10])),
    silent("plan-columns-swapped", "no better if swapped", **QUIET,
           planned=nodes(3, alarm_low=80, alarm_high=80)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
