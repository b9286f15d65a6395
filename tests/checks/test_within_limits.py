"""within-limits: values are inside the limits of the device, the sensor, the network or the range."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of


def block(first: int, last: int, *reserved: int) -> dict[str, Any]:
    """Return a network whose addresses run from `first` to `last`."""
    return {"North": {"addresses": {"first": first, "last": last, "reserved": list(reserved)}}}


RANGE = {"range_low": 0, "range_high": 1000}
PERCENT: dict[str, Any] = {"kind": "decimal", "unit": "%", "step": 0.1}
IN_PERCENT: dict[str, Any] = {"settings": {"alarm_high": PERCENT}}
FOUR: dict[str, Any] = {"settings": {"network_id": {"kind": "text", "digits": 4}}}

FIRES = [
    fires("value-outside-device", "above the highest", "channel", planned={"channel": 40},
          found={"channel": 41},
          says="channel 41 is outside what the device can be set to: 1 to 40"),
    fires("value-outside-device", "in the plan", "channel", side="planned", planned={"channel": 0},
          says="channel 0 is outside"),
    *(fires("value-outside-device", f"planned identity {text}", "network_id", side="planned", **FOUR,
            planned={"network_id": text}, says=f"{text} has {len(text)} characters, the display shows 4")
      for text in ("2C077", "207")),
    fires("value-outside-device", "an option that there is not", "unit", found={"unit": "furlong"},
          says="unit furlong is outside what the device can be set to: kPa g, kPa abs, bar, psi"),
    fires("value-outside-device", "after a conversion", "range_high", found={"range_high": "60 bar"},
          says="60 bar = 6000 kPa g is outside what the device can be set to: -5000 to 5000 kPa g"),
    fires("range-beyond-sensor", "one display step above the sensor", "range_high",
          found={"range_high": "1000.1"}, says="outside what the sensor can measure: 0 to 1000 kPa g"),
    fires("range-beyond-sensor", "below the sensor, in the plan", "range_low", side="planned",
          planned={"range_low": -10}),
    fires("address-out-of-block", "one above the last", "address", networks=block(31, 53),
          planned={"address": 53}, found={"address": 54},
          says="address 54 is outside the block of North: 31 to 53"),
    fires("address-out-of-block", "one below the first, in the plan", "address", side="planned",
          networks=block(31, 53), planned={"address": 30}),
    fires("address-out-of-block", "a reserved one", "address", networks=block(31, 53, 40),
          planned={"address": 41}, found={"address": 40},
          says="address 40 is reserved in the block of North"),
    fires("alarm-outside-range", "one display step above the range", "alarm_high", "range_low", "range_high",
          planned=RANGE | {"alarm_high": 780}, found=RANGE | {"alarm_high": "1000.1"},
          says="alarm_high 1000.1 kPa g is outside the range 0 kPa g to 1000 kPa g"),
    fires("alarm-outside-range", "in the plan", "alarm_low", "range_low", "range_high", side="planned",
          planned=RANGE | {"alarm_low": -1}),
    fires("alarm-outside-range", "the planned range where none was read", "alarm_high", "range_low",
          "range_high",
          planned=RANGE | {"alarm_high": 780}, found={"alarm_high": 1780}),
    fires("alarm-outside-range", "the range was narrowed", "alarm_high", "range_low", "range_high",
          planned=RANGE | {"alarm_high": 780}, found={"range_low": 0, "range_high": 700, "alarm_high": 780}),
    fires("alarm-outside-range", "of a second measuring input", "high_2", "low_end_2", "high_end_2",
          settings={"high_2": {"kind": "decimal", "step": 1, "role": "alarm_high", "input": "second"},
                    "low_end_2": {"kind": "decimal", "step": 1, "role": "range_low", "input": "second"},
                    "high_end_2": {"kind": "decimal", "step": 1, "role": "range_high", "input": "second"}},
          found=RANGE | {"alarm_high": 780, "low_end_2": 0, "high_end_2": 10, "high_2": 11}),
    fires("alarm-outside-range", "more than the whole of its range", "alarm_high", **IN_PERCENT,
          planned=RANGE | {"alarm_high": 78}, found=RANGE | {"alarm_high": "100.1"},
          says="alarm_high 100.1 % is outside the range: 0 to 100 %"),
    fires("alarm-outside-range", "less than nothing of its range, in the plan, whatever that is",
          "alarm_high", **IN_PERCENT, side="planned", planned={"alarm_high": -5}),
    fires("register-out-of-reach", "one above 65535", "host_register", found={"host_register": 65536},
          says="host_register 65536 is outside the limits: 0 to 65535"),
    fires("register-out-of-reach", "below zero, in the plan", "host_register", side="planned",
          planned={"host_register": -1}),
]  # fmt: skip
# Starting addresses run from 0x0000 to 0xFFFF: MODBUS Application Protocol V1.1b3, 6.3 (read in excerpt).

SILENT = [
    silent("value-outside-device", "a text that is shorter than its field", planned={"display_note": "ab"},
           settings={"display_note": {"kind": "text", "digits": 8}}),
    silent("value-outside-device", "an identity that fills its field", planned={"network_id": "0207"},
           **FOUR),
    silent("value-outside-device", "the lowest and the highest", planned=[{"channel": 1}, {"channel": 40}],
           found=[{"channel": 1}, {"channel": 40}]),
    silent("range-beyond-sensor", "5000 mbar of a device that was found in mbar",
           settings={"unit": {"kind": "option", "options": ["kPa g", "mbar"], "role": "unit"}},
           planned=RANGE | {"unit": "kPa g"}, found={"unit": "mbar", "range_low": 0, "range_high": 5000}),
    silent("value-outside-device", "an option in other letters", found={"unit": "KPA G"}),
    silent("value-outside-device", "the factory code was not tried, which the device type does not list",
           settings={"default_refused": {"kind": "option", "options": ["yes", "no"]}},
           found={"default_refused": "not tried"}),
    silent("value-outside-device", "blank", planned=[{}, {}], found=[{"channel": "-"}, {"channel": 7}]),
    silent("range-beyond-sensor", "the sensor's own limits", planned=RANGE, found=RANGE),
    silent("range-beyond-sensor", "rounded in another unit, 1000.02 kPa counts as the planned 1000",
           planned=RANGE, found=RANGE | {"range_high": "145.04 psi g"}),
    silent("value-outside-device", "rounded in another unit, 5000.01 kPa counts as the planned 5000",
           planned={"range_high": 5000}, found={"range_high": "725.19 psi g"}),
    silent("range-beyond-sensor", "another device type has a wider sensor",
           planned={"type": "meter", "range_high": 2000}, found={"range_high": 2000}),
    silent("address-out-of-block", "the first and the last", networks=block(31, 53),
           planned=[{"address": 31}, {"address": 53}], found=[{"address": 31}, {"address": 53}]),
    silent("address-out-of-block", "no block", idle=True, found={"address": 200}),
    silent("address-out-of-block", "each network has its own",
           networks={"North": {"addresses": {"first": 1, "last": 9}},
           "South": {"addresses": {"first": 10, "last": 19}}},
           planned=[{"address": 9}, {"address": 10, "network": "South"}]),
    silent("alarm-outside-range", "at both ends",
           planned=RANGE | {"alarm_low": 0, "alarm_high": 1000},
           found=RANGE | {"alarm_low": 0, "alarm_high": 1000}),
    silent("alarm-outside-range", "half a display step above the range, which counts as planned",
           planned=RANGE | {"alarm_high": 1000}, found=RANGE | {"alarm_high": "1000.05"}),
    silent("alarm-outside-range", "a range in another unit",
           settings={"range_low": {"kind": "decimal", "unit": "bar", "step": 0.001},
                     "range_high": {"kind": "decimal", "unit": "bar", "step": 0.001}},
           planned={"range_low": 0, "range_high": 10, "alarm_high": 780}),
    silent("alarm-outside-range", "the whole of its range", **IN_PERCENT,
           planned={"range_low": 4, "range_high": 40, "alarm_high": 100}),
    silent("alarm-outside-range", "a range in per cent too, within which it lies",
           settings=dict.fromkeys(("range_low", "range_high", "alarm_high"), PERCENT),
           planned={"range_low": 0, "range_high": 120, "alarm_high": 110}),
    silent("alarm-outside-range", "a range of which the unit is not known, and may be per cent too",
           settings={name: {"kind": "decimal", "step": 0.1} for name in RANGE} | IN_PERCENT["settings"],
           planned={"range_low": 0, "range_high": 200, "alarm_high": 110}),
    silent("alarm-outside-range", "no range at all", idle=True, found={"alarm_high": 9999}),
    silent("alarm-outside-range", "inside a range that falls",
           planned={"range_low": 1000, "range_high": 0, "alarm_high": 780}),
    silent("alarm-outside-range", "the setpoint was not read",
           planned=[RANGE | {"alarm_high": "n/a"}, RANGE | {"alarm_high": 5}],
           found=[{"alarm_high": ""}, {"alarm_high": 5}]),
    silent("register-out-of-reach", "0 and 65535", planned=[{"host_register": 0}, {"host_register": 65535}],
           found=[{"host_register": 0}, {"host_register": 65535}]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A value outside its limits is reported with the limits, in the unit of the setting."""
    case.check(tmp_path)


@pytest.mark.parametrize(
    ("limits", "value", "message"),
    [
        ({"low": 5}, 4, "report_interval 4 s is outside the limits: at least 5 s"),
        ({"high": 5}, 6, "report_interval 6 s is outside the limits: at most 5 s"),
        ({"low": 5, "high": 6}, 7, "report_interval 7 s is outside the limits: 5 to 6 s"),
    ],
)
def test_a_site_may_set_one_limit_or_two(
    limits: dict[str, int], value: int, message: str, tmp_path: Path
) -> None:
    """A rule of the site's own says in its message which limits it has."""
    check = {"kind": "within-limits", "limits": "numbers", "roles": ["report_interval"], **limits}
    rule = {
        "id": "own",
        "title": "t",
        "level": "note",
        "check": check,
        "why": "w",
        "remedy": "r",
        "source": "s",
    }

    findings = audit_of(tmp_path, rules="own", found={"report_interval": value}, site_rules={"rules": [rule]})

    assert [f.message for f in findings] == [message]


@pytest.mark.parametrize(("others", "reason"), [({}, "for lack of "), (RANGE, "in part, for lack of ")])
def test_what_has_no_common_unit_with_its_range_is_said_not_to_be_checked(
    others: dict[str, int], reason: str, tmp_path: Path
) -> None:
    """A level in m says nothing of a range in kPa: density and position of the sensor are not known."""
    result = result_of(
        tmp_path,
        settings={"alarm_high": {"kind": "decimal", "unit": "m", "step": 0.01}},
        planned=[RANGE | {"alarm_high": 5}, {"alarm_high": "-", **others, "alarm_low": 5}],
        found=[RANGE | {"alarm_high": 5}, {}],
    )

    said = next(one.reason for one in result.not_checked if one.rule == "alarm-outside-range")
    assert said.startswith(reason)
    assert said.partition("a unit common to ")[2].startswith("alarm_high (m) and range_low (kPa g)")
    assert [f for f in result.findings if f.rule == "alarm-outside-range"] == []


@pytest.mark.parametrize(
    ("rule", "reason"),
    [
        ("range-beyond-sensor", "for lack of the `sensors` of the measuring inputs in the device type"),
        ("address-out-of-block", "for lack of a block of `addresses` in the plan"),
    ],
)
def test_limits_that_nobody_has_given_are_told(rule: str, reason: str, tmp_path: Path) -> None:
    """Ranges and addresses are planned, so it is not that there is nothing to look at."""
    result = result_of(
        tmp_path,
        type_keys={"sensors": {}},
        networks={"North": {"addresses": None}},
        planned=RANGE | {"address": 1},
    )

    assert {one.rule: one.reason for one in result.not_checked}[rule] == reason


@pytest.mark.parametrize(
    ("name", "between"),
    [("alarm_high", ("host_low", "host_high")), ("deadband", ("alarm_low", "alarm_high"))],
)
def test_a_percentage_of_a_range_has_no_unit_in_common_with_other_limits(
    name: str, between: tuple[str, str], tmp_path: Path
) -> None:
    """That 140 % is too much is what the rule about the range says, not one about the host's scale."""
    check = {"kind": "within-limits", "limits": "settings", "between": between, "roles": [name]}
    words = dict.fromkeys(("title", "why", "remedy", "source"), "t")
    result = result_of(
        tmp_path, settings={name: PERCENT}, planned=RANGE | dict.fromkeys(between, 5) | {name: 140},
        site_rules={"rules": [{"id": "own", "level": "note", "sides": ["planned"], "check": check, **words}]},
    )  # fmt: skip

    said = next(one.reason for one in result.not_checked if one.rule == "own")
    assert said.startswith(f"for lack of a unit common to {name} (%) and {between[0]} (kPa g)")
    assert [f for f in result.findings if f.rule == "own"] == []


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """The limits themselves are inside; a blank and a value without limits are not looked at."""
    case.check(tmp_path)
