"""Folding of numbers that are off by one step, and of registers counted from another number."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, nodes

PLANNED = nodes(4, host_register=[100, 104, 108, 112])


def test_a_host_that_counts_from_one_is_one_cause(tmp_path: Path) -> None:
    """Each register is one too high: nobody mis-keyed four registers."""
    (cause,) = causes(tmp_path, planned=PLANNED, found=nodes(4, host_register=[101, 105, 109, 113]))

    assert (cause.rule, cause.setting, len(cause.dependents)) == (
        "registers-shifted-by-one",
        "host_register",
        4,
    )


def test_gauge_and_absolute_mixed_up_are_named(tmp_path: Path) -> None:
    """Low and high alarms that are all too high by the air pressure are one mix-up."""
    low, high = [100, 150, 200], [500, 600, 700]
    (cause,) = causes(tmp_path, planned=nodes(3, alarm_low=low, alarm_high=high),
                      found=nodes(3, alarm_low=[n + 101 for n in low],
                                  alarm_high=[n + 101 for n in high]))  # fmt: skip

    assert cause.message == (
        "alarm_low and alarm_high are 101 kPa g more than planned on 3 of 3 devices: all by the same step, "
        "which is the air pressure: gauge and absolute are mixed up"
    )


FIRES: list[Fires] = [
    fires("registers-shifted-by-one", "all four", "host_register", node=None,
          others=["N01", "N02", "N03", "N04"], planned=PLANNED,
          found=nodes(4, host_register=[99, 103, 107, 111]),
          says="host_register is one less than planned on 4 of 4 devices"),
    fires("registers-shifted-by-one", "beside some without a plan", "host_register", node=None,
          others=["N01", "N02", "N03", "N04"],
          planned=nodes(6, host_register=[100, 104, 108, 112, None, None]),
          found=nodes(6, host_register=[101, 105, 109, 113, 200, 204]),
          says="host_register is one more than planned on 4 of 4 devices"),
    fires("same-step-on-many-nodes", "beside many without a plan", "address", node=None,
          others=["N01", "N02", "N03"], planned=nodes(7, address=[14, 25, 36, None, None, None, None]),
          found=nodes(7, address=[11, 22, 33, 47, 58, 69, 70]),
          says="address is 3 less than planned on 3 of 3 devices: all by the same step"),
    fires("same-step-on-many-nodes", "registers behind one that was put in", "host_register", node=None,
          others=["N02", "N03", "N04"], planned=PLANNED, found=nodes(4, host_register=[100, 105, 109, 113]),
          says="host_register is 1 more than planned on 3 of 4 devices: all by the same step"),
    fires("same-step-on-many-nodes", "half of a renumbering", "address", node=None,
          others=["N01", "N02", "N03"],
          planned=nodes(5, address=[14, 25, 36, 47, 58]), found=nodes(5, address=[11, 22, 33, 47, 58]),
          says="address is 3 less than planned on 3 of 5 devices: all by the same step"),
    fires("same-step-on-many-nodes", "alarms that were revised", "alarm_high", node=None,
          others=["N01", "N02", "N03"], planned=nodes(3, alarm_high=[50, 60, 70]),
          found=nodes(3, alarm_high=[55, 65, 75]),
          says="alarm_high is 5 kPa g more than planned on 3 of 3 devices: all by the same step"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("registers-shifted-by-one", "two nodes", planned=nodes(2, host_register=[100, 104]),
           found=nodes(2, host_register=[101, 105])),
    silent("registers-shifted-by-one", "to both sides", planned=PLANNED,
           found=nodes(4, host_register=[101, 103, 109, 111])),
    silent("registers-shifted-by-one", "three of ten",
           planned=nodes(10, host_register=[*range(100, 140, 4)]),
           found=nodes(10, host_register=[101, 105, 109, *range(112, 140, 4)])),
    silent("same-step-on-many-nodes", "two numbers planned", idle=None,
           planned=nodes(3, address=[14, 25, 36]), found=nodes(3, address=[11, 22, 36])),
    silent("same-step-on-many-nodes", "three of seven", idle=None,
           planned=nodes(7, address=[14, 25, 36, 47, 58, 69, 70]),
           found=nodes(7, address=[15, 26, 37, 47, 58, 69, 70])),
    silent("same-step-on-many-nodes", "steps of two sizes", idle=None, planned=nodes(3, address=[14, 25, 36]),
           found=nodes(3, address=[11, 22, 35])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
