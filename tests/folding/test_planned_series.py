"""Folding of planned values that a spreadsheet counted up."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, fold, nodes
from tests.worklist.sites import work_of

UP = [1000, 1001, 1002, 1003]


def test_a_range_that_was_filled_down_in_the_plan_is_one_cause(tmp_path: Path) -> None:
    """The first row is as meant, and all devices have it. No sensor has the range of the other rows."""
    cause = fold(tmp_path, "plan-filled-as-series", planned=nodes(4, range_high=UP),
                 found=nodes(4, range_high=1000))  # fmt: skip

    assert cause.message.startswith(
        "the plan counts range_high up from device to device, 1001 kPa g to 1003 kPa g, on 3 nodes, all of "
        "which have 1000 kPa g"
    )
    assert [place.raw for place in cause.evidence] == ["1001", "1003"]
    assert {name.split("/")[0] for name in cause.dependents} == {"range-differs", "range-beyond-sensor"}
    assert len(cause.dependents) == 6


def test_no_device_is_set_to_it(tmp_path: Path) -> None:
    """The work list asks for the plan, at the desk."""
    site: dict[str, Any] = {"planned": nodes(4, range_high=UP), "found": nodes(4, range_high=1000)}
    (step,) = work_of(tmp_path, **site, **QUIET).steps

    assert "The plan itself is in doubt: the plan counts range_high up" in step.do
    assert not step.changes


FIRES: list[Fires] = [
    fires("plan-filled-as-series", "a text that ends in a number", "firmware", node=None,
          side="planned", **QUIET, planned=nodes(4, firmware=["V1", "V2", "V3", "V4"]),
          found=nodes(4, firmware="V1"),
          others=["N02", "N03", "N04"], says="the plan counts firmware up from device to device, V2 to V4"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("plan-filled-as-series", "addresses that are still the factory's", idle=None, **QUIET,
           planned=nodes(4, address=[11, 12, 13, 14]), found=nodes(4, address=10)),
    silent("plan-filled-as-series", "numbers of their own, where all are at the factory default", idle=None,
           **QUIET | {"settings": QUIET["settings"] | {"slot": {"kind": "integer", "default": 1}}},
           planned=nodes(4, slot=[1, 2, 3, 4]), found=nodes(4, slot=1)),
    silent("plan-filled-as-series", "it does not go on from what they have", idle=None, **QUIET,
           planned=nodes(4, range_high=[701, 702, 703, 704]), found=nodes(4, range_high=1000)),
    silent("plan-filled-as-series", "they differ from each other", idle=None, **QUIET,
           planned=nodes(4, range_high=UP), found=nodes(4, range_high=[1000, 1000, 999, 1000])),
    silent("plan-filled-as-series", "two", idle=None, **QUIET,
           planned=nodes(3, range_high=UP[:3]), found=nodes(3, range_high=1000)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The rule names the run, its values and their place."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """The rule reports nothing."""
    case.check(tmp_path)
