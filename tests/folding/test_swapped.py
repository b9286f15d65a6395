"""Folding of two values that are swapped."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, nodes

ALARMS = {"alarm_low": 280, "alarm_high": 780}


def test_low_and_high_exchanged_is_one_cause_with_what_follows(tmp_path: Path) -> None:
    """Two swapped alarms, and their wrong order, are one slip."""
    (cause,) = causes(tmp_path, planned=ALARMS, found={"alarm_low": 780, "alarm_high": 280})

    assert cause.rule == "values-swapped"
    assert sorted(name.split("/")[0] for name in cause.dependents) == [
        "alarm-off-plan", "alarm-off-plan", "alarm-order-wrong",
    ]  # fmt: skip


def test_two_alarms_exchanged_on_many_nodes_are_one_cause(tmp_path: Path) -> None:
    """Two columns of the sheet are swapped: nobody swapped the alarms three times."""
    (cause,) = causes(tmp_path, planned=nodes(3, **ALARMS), found=nodes(3, alarm_low=780, alarm_high=280))

    assert (cause.rule, cause.others) == ("values-swapped", ["N01", "N02", "N03"])
    assert cause.message.startswith("on 3 devices: alarm_low and alarm_high are swapped")


FIRES: list[Fires] = [
    fires("values-swapped", "low and high alarm", "alarm_low", "alarm_high", node="A", planned=ALARMS,
          found={"alarm_low": 780, "alarm_high": 280}, says="alarm_low and alarm_high are swapped"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("values-swapped", "one of the two", planned=ALARMS, found={"alarm_low": 780, "alarm_high": 780}),
    silent("values-swapped", "two switches, each of which was forgotten", idle=None,
           planned={"local_lock": "on", "service_port": "off"},
           found={"local_lock": "off", "service_port": "on"}),
    silent("values-swapped", "one of them blank", planned=ALARMS,
           found={"alarm_low": 780, "alarm_high": ""}),
    silent("values-swapped", "of two kinds", planned={"alarm_low": 280, "host_timeout": 60},
           found={"alarm_low": 60, "host_timeout": 280}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
