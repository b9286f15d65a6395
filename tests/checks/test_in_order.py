"""in-order: low-low is below low, low below high, high below high-high."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of
from tests.small_site import small_site

GOOD = {"alarm_low_low": 10, "alarm_low": 20, "alarm_high": 80, "alarm_high_high": 90}

FIRES = [
    fires("alarm-order-wrong", "high-high below high", "alarm_high", "alarm_high_high",
          planned=GOOD, found=GOOD | {"alarm_high_high": 75},
          says="alarm_high 80 kPa g is not below alarm_high_high 75 kPa g"),
    fires("alarm-order-wrong", "two that are equal", "alarm_low", "alarm_high", side="planned",
          planned={"alarm_low": 50, "alarm_high": "50.0"}),
    fires("alarm-order-wrong", "one between them is not set", "alarm_low_low", "alarm_high", side="planned",
          planned={"alarm_low_low": 90, "alarm_high": 80},
          says="alarm_low_low 90 kPa g is not below alarm_high 80 kPa g"),
    fires("alarm-order-wrong", "all in reverse", "alarm_low_low", "alarm_low", "alarm_high",
          "alarm_high_high",
          planned=GOOD, found={"alarm_low_low": 90, "alarm_low": 80, "alarm_high": 20,
          "alarm_high_high": 10},
          says="alarm_low_low 90 kPa g is not below alarm_low 80 kPa g, alarm_low 80 kPa g is not below "
               "alarm_high 20 kPa g, alarm_high 20 kPa g is not below alarm_high_high 10 kPa g"),
    fires("alarm-order-wrong", "of a second measuring input", "low_2", "high_2",
          settings={"low_2": {"kind": "decimal", "step": 1, "role": "alarm_low", "input": "second"},
                    "high_2": {"kind": "decimal", "step": 1, "role": "alarm_high", "input": "second"}},
          found=GOOD | {"low_2": 5, "high_2": 4}),
    fires("alarm-order-wrong", "one of them a percentage of its range", "alarm_high", "alarm_high_high",
          "range_low", "range_high",
          settings={"alarm_high_high": {"kind": "decimal", "unit": "%", "step": 0.1}}, side="planned",
          planned={"range_low": 200, "range_high": 1000, "alarm_high": 600, "alarm_high_high": 50},
          says="alarm_high 600 kPa g is not below alarm_high_high 50 %"),
    fires("alarm-order-wrong", "two in the unit of the range, beside one in per cent",
          "alarm_low", "alarm_high",
          settings={"alarm_high_high": {"kind": "decimal", "unit": "%", "step": 0.1}}, side="planned",
          planned={"range_low": 0, "range_high": 1000, "alarm_low": 60, "alarm_high": 50,
                   "alarm_high_high": 90}),
]  # fmt: skip

SILENT = [
    silent("alarm-order-wrong", "in order", planned=GOOD, found=GOOD),
    silent("alarm-order-wrong", "a step apart", planned={"alarm_low": "49.9", "alarm_high": "50.0"}),
    silent("alarm-order-wrong", "a single one is in any order", idle=True, planned={"alarm_high": 80}),
    silent("alarm-order-wrong", "blanks are passed over", planned=GOOD,
           found={"alarm_low_low": 10, "alarm_low": "n/a", "alarm_high": "", "alarm_high_high": 90}),
    silent("alarm-order-wrong", "one of them in another unit",
           settings={"alarm_high": {"kind": "decimal", "unit": "bar", "step": 0.001}},
           planned={"alarm_low": 80, "alarm_high": 1}),
    silent("alarm-order-wrong", "one of them a percentage of its range, as planned where it was not read",
           settings={"alarm_high_high": {"kind": "decimal", "unit": "%", "step": 0.1}},
           planned={"range_low": 200, "range_high": 1000, "alarm_high": 599, "alarm_high_high": 50},
           found={"alarm_high": 599, "alarm_high_high": 50}),
    silent("alarm-order-wrong", "one of them a percentage, of its own range and not that of another input",
           settings={"high_2": {"kind": "decimal", "unit": "kPa g", "step": 1, "role": "alarm_high",
                                "input": "second"},
                     "top_2": {"kind": "decimal", "unit": "%", "step": 1, "role": "alarm_high_high",
                               "input": "second"}},
           planned={"range_low": 0, "range_high": 100, "high_2": 600, "top_2": 50}),
    silent("alarm-order-wrong", "one of them a percentage of a range that is not known",
           settings={"alarm_high_high": {"kind": "decimal", "unit": "%", "step": 0.1}},
           planned={"alarm_high": 600, "alarm_high_high": 50}),
    silent("alarm-order-wrong", "two inputs do not compare with each other",
           settings={"low_2": {"kind": "decimal", "step": 1, "role": "alarm_low", "input": "second"},
                     "high_2": {"kind": "decimal", "step": 1, "role": "alarm_high", "input": "second"}},
           planned=GOOD | {"low_2": 500, "high_2": 600}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """Setpoints that do not rise are reported, the wrong ones by name and value."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Rising setpoints, and setpoints that are not set, are in order."""
    case.check(tmp_path)


def test_an_end_of_the_range_that_is_itself_not_in_order_is_named_once(tmp_path: Path) -> None:
    """A site may have a setpoint in per cent and the ends of its range in one order."""
    check = {"kind": "in-order", "roles": ["range_low", "alarm_high", "alarm_high_high"]}
    words = dict.fromkeys(("title", "why", "remedy", "source"), "t")
    rule = {"id": "own", "level": "note", "sides": ["planned"], "check": check, **words}

    (finding,) = audit_of(
        tmp_path, rules="own", site_rules={"rules": [rule]},
        settings={"alarm_high_high": {"kind": "decimal", "unit": "%", "step": 0.1}},
        planned={"range_low": 600, "range_high": 1000, "alarm_high": 500, "alarm_high_high": -50},
    )  # fmt: skip

    assert finding.settings == ["range_low", "alarm_high", "alarm_high_high", "range_high"]


@pytest.mark.parametrize("rule", ["alarm-order-wrong", "default-code-not-tried", "code-shared"])
def test_what_no_device_type_can_show_is_said_to_be_so(rule: str, tmp_path: Path) -> None:
    """A single alarm, and no setting for codes: reading it all back once more would not help."""
    outcome = small_site(tmp_path).check("--format", "json")

    reasons = {one["rule"]: one["reason"] for one in json.loads(outcome.stdout)["not_checked"]}
    assert reasons[rule].startswith("no device type has a setting for it: ")
