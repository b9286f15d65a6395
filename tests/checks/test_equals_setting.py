"""equals-setting: the host's scale is the device's range, whatever their units."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of

RANGE = {"range_low": 0, "range_high": 1000}
SCALE = {"host_low": 0, "host_high": 1000}
BAR_AT_HOST = {"host_high": {"kind": "decimal", "unit": "bar", "step": 0.001, "read_at": "host"}}

FIRES = [
    fires("host-scale-differs", "one end not read, as it is on the next node", "host_high", "range_high",
          node="B", planned=[{"range_high": 100, "host_high": 100}] * 2,
          found=[{"range_high": 100, "host_high": 100}, {"range_high": 200, "host_high": ""}]),
    fires("host-scale-differs", "the device was re-ranged", "host_high", "range_high",
          planned=RANGE | SCALE, found=SCALE | {"range_low": 0, "range_high": 1600},
          says="host_high is 1000 kPa g, range_high is 1600 kPa g"),
    fires("host-scale-differs", "exactly one display step", "host_high", "range_high",
          planned=RANGE | SCALE, found=RANGE | {"host_low": 0, "host_high": "1000.1"}),
    fires("host-scale-differs", "in the plan", "host_low", "range_low", side="planned",
          planned=RANGE | {"host_low": 10}),
    fires("host-scale-differs", "in another unit", "host_high", "range_high", settings=BAR_AT_HOST,
          planned={"range_high": 1000, "host_high": 10}, found={"range_high": 1000, "host_high": 16}),
    fires("host-scale-differs", "five display steps in another unit", "host_high", "range_high",
          settings=BAR_AT_HOST, planned={"range_high": 1000, "host_high": 10},
          found={"range_high": 1000, "host_high": "10.005"}),
    fires("host-scale-differs", "two degrees where the zeros of units differ", "host_high", "range_high",
          settings={"range_high": {"kind": "decimal", "unit": "degC", "step": 0.1},
                    "host_high": {"kind": "decimal", "unit": "degF", "step": 0.1, "read_at": "host"}},
          planned={"range_high": 100, "host_high": 212}, found={"range_high": 100, "host_high": 214}),
    fires("host-scale-differs", "both ends are two findings", "host_high", "range_high", count=2,
          planned=RANGE | SCALE, found=RANGE | {"host_low": 1, "host_high": 2}),
]  # fmt: skip

SILENT = [
    silent("host-scale-differs", "the same", planned=RANGE | SCALE, found=RANGE | SCALE),
    silent("host-scale-differs", "less than one display step", planned=RANGE | SCALE,
           found=RANGE | {"host_low": 0, "host_high": "1000.09"}),
    silent("host-scale-differs", "the same in another unit", settings=BAR_AT_HOST,
           planned={"range_high": 1000, "host_high": 10}, found={"range_high": 1000, "host_high": "10.000"}),
    silent("host-scale-differs", "one side not read", planned=RANGE | SCALE,
           found=RANGE | {"host_low": "n/a", "host_high": "-"}),
    silent("host-scale-differs", "re-ranged on both sides together", planned=RANGE | SCALE,
           found={"range_low": 0, "range_high": 1600, "host_low": 0, "host_high": 1600}),
    silent("host-scale-differs", "no host map", idle=True, planned=RANGE, found=RANGE),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A scale that is not the range is reported with both, each in its own unit."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Equal after conversion, within the display, or not read on one side: no difference."""
    case.check(tmp_path)


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ({"channel": 7, "address": "007"}, []),
        ({"channel": 7, "address": 8}, ["channel is 7, address is 8"]),
        ({"firmware": "A1", "battery_type": "A1"}, []),
        ({"firmware": "A1", "battery_type": "a1"}, ["firmware is A1, battery_type is a1"]),
        ({"channel": 7, "address": "n/a"}, []),
    ],
)
def test_whole_numbers_and_texts_have_no_tolerance(
    found: dict[str, object], expected: list[str], tmp_path: Path
) -> None:
    """A site's own rule may compare any two settings; those without a display step have to be equal."""
    check = {"kind": "equals-setting", "pairs": [["channel", "address"], ["firmware", "battery_type"]]}
    rule = {
        "id": "own",
        "title": "t",
        "level": "note",
        "check": check,
        "why": "w",
        "remedy": "r",
        "source": "s",
    }

    findings = audit_of(tmp_path, rules="own", found=found, site_rules={"rules": [rule]})

    assert [f.message for f in findings] == expected


def test_a_device_that_was_re_ranged_is_the_cause(tmp_path: Path) -> None:
    """Where the device left the plan and the host did not, the range is the cause and the scale a symptom."""
    findings = audit_of(tmp_path, planned=RANGE | SCALE, found=SCALE | {"range_low": 0, "range_high": 1600})

    by_rule = {f.rule: f for f in findings}
    assert by_rule["host-scale-differs"].caused_by == by_rule["range-differs"].id
