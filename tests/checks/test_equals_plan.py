"""equals-plan: what was found is what was planned, role by role."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of

FIRES = [
    fires("gateway-off-plan", "gateway on another channel", "channel", node="GW-North",
          gateway={"channel": 7}, gateway_found={"channel": 8}, found={},
          says="channel is 8, planned 7", shown=("7", "8"), at=[("gateways.csv", 2, "B")]),
    fires("radio-off-plan", "node and gateway agree, and not with the plan", "channel",
          gateway={"channel": 7}, gateway_found={"channel": 8}, planned={"channel": 7}, found={"channel": 8},
          says="channel is 8, planned 7"),
    fires("address-differs", "another address", "address",
          planned={"address": 38}, found={"address": "083"}, says="address is 083, planned 38"),
    fires("report-interval-differs", "a shorter interval", "report_interval",
          planned={"report_interval": 300}, found={"report_interval": 60}, shown=("300 s", "60 s")),
    fires("unit-differs", "gauge and absolute are different units", "unit",
          planned={"unit": "kPa g"}, found={"unit": "kPa abs"}, says="unit is kPa abs, planned kPa g"),
    fires("range-differs", "exactly one display step", "range_high",
          planned={"range_high": "1000.0"}, found={"range_high": "1000.1"},
          says="1000.1 kPa g, planned 1000.0"),
    fires("range-differs", "more than half a display step after a conversion", "range_high",
          planned={"range_high": "1000"}, found={"range_high": "10.0006 bar"}, says="= 1000.06 kPa g"),
    fires("pulse-weight-differs", "ten times as much", "pulse_weight",
          planned={"pulse_weight": 10}, found={"pulse_weight": 100}, shown=("10 L", "100 L")),
    fires("alarm-off-plan", "a setpoint", "alarm_low",
          planned={"alarm_low": 280}, found={"alarm_low": 381},
          says="alarm_low is 381 kPa g, planned 280 kPa g"),
    fires("alarm-off-plan", "a deadband", "deadband", planned={"deadband": 15}, found={"deadband": 0}),
    fires("alarm-switched", "an alarm that is off with an authorisation", "alarm_enabled",
          planned={"alarm_enabled": True},
          found={"alarm_enabled": "off", "alarm_authorisation": "AUT-7 until 2026-06-30"}),
    fires("loss-action-differs", "holds instead of falling", "loss_action",
          planned={"loss_action": "low"}, found={"loss_action": "hold"},
          says="loss_action is hold, planned low"),
    fires("register-differs", "a count of registers", "host_register_count",
          planned={"host_register_count": 2}, found={"host_register_count": 1}),
    fires("register-differs", "two registers away", "host_register",
          planned={"host_register": 40100}, found={"host_register": 40102}),
    fires("host-map-differs", "the host's scale, where no range was read", "host_high",
          planned={"host_high": 1000}, found={"host_high": 1600}),
    fires("join-window-open", "joining left open", "join_window", node="GW-North",
          gateway={"join_window": "closed"}, gateway_found={"join_window": "open"}, found={}),
    fires("local-config-unlocked", "lock off", "local_lock", planned={"local_lock": True},
          found={"local_lock": "off"}),
    fires("service-port-on", "port on", "service_port", planned={"service_port": False},
          found={"service_port": "on"}),
    fires("encryption-off", "encryption off, gateway as well", "encryption",
          gateway={"encryption": True}, gateway_found={"encryption": "off"}, found={"encryption": "off"}),
    fires("setting-differs", "a setting without a role", "display_note",
          planned={"display_note": "pump 1"}, found={"display_note": "pump 2"}),
    fires("setting-differs", "a text compares letter by letter", "firmware",
          planned={"firmware": "2.10"}, found={"firmware": "2.1"}, says="firmware is 2.1, planned 2.10"),
]  # fmt: skip

SILENT = [
    silent("gateway-off-plan", "gateway as planned", gateway={"channel": 7},
           gateway_found={"channel": "07"}, found={}),
    silent("radio-off-plan", "said already by channel-differs",
           gateway={"channel": 7}, planned={"channel": 7}, found={"channel": 8}),
    silent("address-differs", "padded with zeros", planned={"address": 38}, found={"address": "0038"}),
    silent("address-differs", "written in hexadecimal", planned={"address": 38}, found={"address": "0x26"}),
    silent("address-differs", "read on one side only",
           planned=[{"address": ""}, {"address": 2}], found=[{"address": 1}, {"address": 2}]),
    silent("report-interval-differs", "the same time in minutes",
           planned={"report_interval": 300}, found={"report_interval": "5 min"}),
    silent("unit-differs", "the same unit in another spelling", planned={"unit": "kPa g"},
           found={"unit": "KPA G"}),
    silent("range-differs", "less than one display step",
           planned={"range_high": "1000.0"}, found={"range_high": "1000.09"}),
    silent("range-differs", "half a display step after a conversion",
           planned={"range_high": "1000"}, found={"range_high": "10.0005 bar"}),
    silent("range-differs", "a blank and an n/a are not differences",
           planned=[{"range_high": 10}, {"range_high": 10}, {"range_high": 10}],
           found=[{"range_high": ""}, {"range_high": "N/A"}, {"range_high": "10.0"}]),
    silent("pulse-weight-differs", "zeros behind the point",
           planned={"pulse_weight": 10}, found={"pulse_weight": "10.00"}),
    silent("alarm-off-plan", "the planned setpoint in another unit",
           planned={"alarm_low": 280}, found={"alarm_low": "2.8 bar"}),
    silent("alarm-switched", "said already by alarm-disabled",
           planned={"alarm_enabled": True}, found={"alarm_enabled": "off"}),
    silent("loss-action-differs", "as planned", planned={"loss_action": "low"}, found={"loss_action": "low"}),
    silent("register-differs", "said already by register-off-by-one",
           planned={"host_register": 40100}, found={"host_register": 40101}),
    silent("host-map-differs", "as planned", planned={"host_high": 1000}, found={"host_high": "1000.0"}),
    silent("join-window-open", "closed as planned",
           gateway={"join_window": "closed"}, gateway_found={"join_window": "closed"}, found={}),
    silent("local-config-unlocked", "locked in other words",
           planned={"local_lock": True}, found={"local_lock": "locked"}),
    silent("service-port-on", "off in other words",
           planned={"service_port": False}, found={"service_port": "disabled"}),
    silent("encryption-off", "on as planned", gateway={"encryption": True}, found={"encryption": "yes"}),
    silent("setting-differs", "said already by battery-type-wrong",
           plan={"approved": [{"setting": "battery_type", "values": ["L1"]}]},
           planned={"battery_type": "L1"}, found={"battery_type": "X9"}),
    silent("setting-differs", "needs a readback", idle=True, planned={"display_note": "pump 1"}),
    silent("address-differs", "unclear at one device, and the other was not read", idle=True,
           planned=[{"address": 38}, {"address": 39}], found={"address": "x", "channel": 7}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A value that is not the planned one is reported with both, as they were typed."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A value that means the planned one, or was not read, is not a difference."""
    case.check(tmp_path)


@pytest.mark.parametrize(
    ("setting", "planned", "found", "not_told"),
    [
        ("join_window", "open", "closed", "Close joining"),
        ("service_port", "on", "off", "Switch the port off"),
        ("local_lock", "off", "on", "Lock the local menu"),
        ("encryption", "off", "on", "Switch encryption back on"),
    ],
)
def test_nobody_is_told_to_do_what_is_done(
    setting: str, planned: str, found: str, not_told: str, tmp_path: Path
) -> None:
    """A value that is better than planned is reported without the remedy for one that is worse."""
    at_gateway = setting == "join_window"
    findings = audit_of(
        tmp_path,
        planned={} if at_gateway else {setting: planned},
        found={} if at_gateway else {setting: found},
        gateway={setting: planned} if at_gateway else {},
        gateway_found={setting: found} if at_gateway else {},
    )

    about_it = [f for f in findings if f.setting == setting]
    assert about_it
    assert not any(not_told in f.remedy for f in about_it)


@pytest.mark.parametrize(
    ("weaker", "setting", "planned", "found", "extra"),
    [
        ("firmware-off-list", "firmware", "2.10", "1.04",
         {"plan": {"approved": [{"setting": "firmware", "values": ["2.10"]}]}}),
        ("host-timeout-short", "host_timeout", 900, 30, {"settings": {}}),
    ],
)  # fmt: skip
def test_a_difference_stays_an_error_where_a_warning_says_it_too(
    weaker: str, setting: str, planned: object, found: object, extra: dict[str, Any], tmp_path: Path
) -> None:
    """A value that is not the planned one is an error, and does not become a warning by being worse still."""
    findings = audit_of(
        tmp_path,
        planned={setting: planned, "report_interval": 300},
        found={setting: found, "report_interval": 300},
        **extra,
    )

    about_it = [f for f in findings if f.setting == setting]
    assert weaker in {f.rule for f in about_it}
    assert "error" in {f.level for f in about_it}


def test_what_was_read_and_never_planned_is_not_checked(tmp_path: Path) -> None:
    """A forgotten line of the plan would otherwise look like a setting that was read as planned."""
    result = result_of(
        tmp_path,
        planned=[{"loss_action": "", "alarm_low": "-"}, {"loss_action": "", "alarm_low": 280}],
        found=[{"loss_action": "hold", "alarm_low": 280, "rssi": -70, "firmware": "2.1"}] * 2,
        plan={"approved": [{"setting": "firmware", "values": ["2.1"]}]},
    )

    told = {one.rule: one.reason for one in result.not_checked if "for lack of a planned" in one.reason}
    assert told == {
        "alarm-off-plan": "in part, for lack of a planned alarm_low on 1 (A)",
        "loss-action-differs": "for lack of a planned loss_action",
    }
