"""one-of: firmware, battery and band variant are on the owner's lists."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.run import Order, run
from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import SiteOf, result_of


def approved(setting: str, *values: Any, types: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return the part of a plan that lists what is allowed for one setting."""
    return {"approved": [{"setting": setting, "values": list(values), "types": list(types)}]}


FIRES = [
    fires("value-not-approved", "any other setting", "channel", side="planned",
          plan=approved("channel", 7, 8), planned={"channel": 9}, says="channel is 9; allowed: 7, 8"),
    fires("firmware-off-list", "an old version", "firmware", plan=approved("firmware", "2.10", "2.11"),
          found={"firmware": "1.04"}, says="firmware is 1.04; allowed: 2.10, 2.11"),
    fires("firmware-off-list", "a version is a name, not a number", "firmware",
          plan=approved("firmware", "2.10"),
          found={"firmware": "2.1"}, says="firmware is 2.1; allowed: 2.10"),
    fires("firmware-off-list", "the plan asks for one that is not allowed", "firmware", side="planned",
          plan=approved("firmware", "2.10"), planned={"firmware": "1.04"}),
    fires("firmware-off-list", "on a gateway", "firmware", node="GW-North", plan=approved("firmware", "2.10"),
          gateway_found={"firmware": "1.04"}, found={}),
    fires("battery-type-wrong", "bought in a shop", "battery_type", plan=approved("battery_type", "L1", "L2"),
          planned={"battery_type": "L1"}, found={"battery_type": "X9"},
          says="battery_type is X9; allowed: L1, L2"),
    fires("band-variant-wrong", "another band", "band", plan=approved("band", "low band"),
          found={"band": "high band"}, says="band is high band; allowed: low band"),
]  # fmt: skip

SILENT = [
    silent("value-not-approved", "on the list, in another spelling", plan=approved("channel", 7, 8),
           planned={"channel": "07"}, found={"channel": "8"}),
    silent("value-not-approved", "half a display step off the list, which counts as planned",
           plan=approved("range_high", 1000), planned={"range_high": 1000}, found={"range_high": "1000.05"}),
    silent("value-not-approved", "firmware has a rule of its own", plan=approved("firmware", "2.10"),
           found={"firmware": "1.04"}, idle=True),
    silent("firmware-off-list", "on the list", plan=approved("firmware", "2.10", "2.11"),
           found={"firmware": "2.11"}),
    silent("firmware-off-list", "no list", idle=True, planned={"firmware": "2.10"},
           found={"firmware": "1.04"}),
    silent("firmware-off-list", "a list for another device type",
           plan=approved("firmware", "2.10", types=("meter",)),
           planned=[{}, {"type": "meter"}], found=[{"firmware": "1.04"}, {"firmware": "2.10"}]),
    silent("firmware-off-list", "not read", plan=approved("firmware", "2.10"),
           planned=[{}, {}], found=[{"firmware": "n/a"}, {"firmware": "2.10"}]),
    silent("battery-type-wrong", "on the list", plan=approved("battery_type", "L1", "L2"),
           found={"battery_type": "L2"}),
    silent("band-variant-wrong", "the licensed one, in capitals", plan=approved("band", "low band"),
           found={"band": "LOW BAND"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A value that is not on the list is reported with the list."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A value on the list, or one for which there is no list, is not reported."""
    case.check(tmp_path)


def test_an_approved_version_counts_as_it_is_written(tmp_path: Path) -> None:
    """A version 2.10 in the plan is 2.10 without quotation marks too, and not the number 2.1."""
    order = SiteOf(plan=approved("firmware", "2.10"), found={"firmware": "2.10"}).write(tmp_path)
    order.plan.write_text(order.plan.read_text().replace('"2.10"', "2.10"))

    findings = run(Order(order.plan, order.readback)).findings

    assert "firmware-off-list" not in {f.rule for f in findings}


def test_a_list_of_codes_is_never_shown(tmp_path: Path) -> None:
    """A plan that approves access codes does not bring them into a report."""
    rule = {"id": "own", "title": "An own rule", "level": "error", "why": "w", "remedy": "r", "source": "s",
            "check": {"kind": "one-of", "roles": ["access_code"]}}  # fmt: skip

    result = result_of(
        tmp_path, plan={"approved": [{"setting": "access_code", "values": ["7391"]}]}, planned={},
        site_rules={"rules": [rule]}, found={"access_code": "4417"},
    )  # fmt: skip

    assert "7391" not in result.model_dump_json()


@pytest.mark.parametrize("plan", [{}, approved("battery_type", "L1")])
def test_a_list_that_the_plan_has_not_is_told(plan: dict[str, Any], tmp_path: Path) -> None:
    """Firmware was planned and read; what is missing is the list."""
    both = {"firmware": "2.10"}

    result = result_of(tmp_path, plan=plan, planned=both, found=both)

    reasons = {one.rule: one.reason for one in result.not_checked}
    assert reasons["firmware-off-list"] == "for lack of a list under `approved` in the plan"
