"""What the checks share: a fault of the plan is reported once, on the planned side."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.reading.rules import read_rulebook
from tests.site_builder import AS_PLANNED, audit_of

RANGE = {"range_low": 0, "range_high": 1000}
SPAN_AT_HOST = {"host_register": 100, "host_register_count": 2, "host_device": 1}

REPORTS = {"report_interval": 60, "air_rate": "9.6"}
SENDS = {"message": {"bits": 480}}

WRONG_PLANS: dict[str, dict[str, Any]] = {
    "channel-differs": {"gateway": {"channel": 7}, "planned": {"channel": 8}},
    "air-rate-differs": {"gateway": {"air_rate": "50"}, "planned": {"air_rate": "9.6"}},
    "network-id-differs": {"gateway": {"network_id": "A1"}, "planned": {"network_id": "A2"}},
    "encryption-differs": {"gateway": {"encryption": "off"}, "planned": {"encryption": "on"}},
    "networks-alike": {
        "planned": [{}, {"network": "South"}],
        "gateway": {"network_id": "A1", "channel": 7, "air_rate": "50"}},
    "network-id-shared": {
        "planned": [{}, {"network": "South"}], "gateway": {"network_id": "A1"},
        "networks": {"North": {"gateway": {"channel": 7}}, "South": {"gateway": {"channel": 9}}}},
    "address-duplicate": {"planned": [{"address": 7}, {"address": 7}]},
    "address-out-of-block": {
        "planned": {"address": 9}, "networks": {"North": {"addresses": {"first": 1, "last": 8}}}},
    "gateway-over-capacity": {"planned": [{}, {}], "networks": {"North": {"capacity": {"nodes": 1}}}},
    "reports-over-capacity": {
        "planned": {"report_interval": 60}, "networks": {"North": {"capacity": {"reports_per_hour": 59}}}},
    "alarm-order-wrong": {"planned": {"alarm_low": 80, "alarm_high": 20}},
    "alarm-outside-range": {"planned": RANGE | {"alarm_high": 2000}},
    "deadband-unworkable": {"planned": {"alarm_low": 20, "alarm_high": 80, "deadband": 60}},
    "register-overlap": {"planned": [SPAN_AT_HOST, SPAN_AT_HOST]},
    "register-out-of-reach": {"planned": {"host_register": 70000}},
    "host-scale-differs": {"planned": RANGE | {"host_low": 0, "host_high": 600}},
    "host-timeout-short": {"planned": {"report_interval": 300, "host_timeout": 60}},
    "tag-duplicate": {"planned": [{"serial": "S1"}, {"tag": "A", "serial": "S2"}]},
    "serial-duplicate": {"planned": [{"serial": "S1"}, {"serial": "S1"}]},
    "range-beyond-sensor": {"planned": {"range_low": 0, "range_high": 1600}},
    "span-too-small": {"planned": {"range_low": 0, "range_high": 10}},
    "value-outside-device": {"planned": {"range_low": 0, "range_high": 9000}},
    "band-variant-wrong": {
        "planned": {"band": "high band"},
        "plan": {"approved": [{"setting": "band", "values": ["low band"]}]}},
    "value-not-approved": {
        "planned": {"channel": 9}, "plan": {"approved": [{"setting": "channel", "values": [7]}]}},
    "firmware-off-list": {
        "planned": {"firmware": "1.0"}, "plan": {"approved": [{"setting": "firmware", "values": ["2.0"]}]}},
    "battery-type-wrong": {
        "planned": {"battery_type": "X"},
        "plan": {"approved": [{"setting": "battery_type", "values": ["L"]}]}},
    "default-code-accepted": {"planned": {"access_code": "8205"}},
    "code-trivial": {"planned": {"access_code": "7777"}},
    "code-shared": {"planned": [{"access_code": "5093"}, {"access_code": "5093"}]},
    "code-in-clear": {"planned": {"access_code": "5093"}},
    "weak-link-margin": {
        "planned": {"x_m": 100_000, "y_m": 0, "radio_power": 14, "air_rate": "9.6"},
        "networks": {"North": {"gateway": {"position": {"x_m": 0, "y_m": 0}, "frequency": 868.3}}},
        "type_keys": {"sensitivity_dbm": {"9.6": -104}}},
    "link-availability-low": {
        "planned": {"x_m": 1000, "y_m": 0, "radio_power": 14, "air_rate": "9.6"},
        "networks": {"North": {"gateway": {"position": {"x_m": 0, "y_m": 0}, "frequency": 868.3}}},
        "plan": {"radio": {"path": {"exponent": 3, "shadowing_db": 8}, "availability_percent": 99}},
        "type_keys": {"sensitivity_dbm": {"9.6": -104}}},
    "radiated-power-excess": {
        "planned": {"radio_power": 40}, "plan": {"radio": {"licence": {"eirp_dbm": 30}}}},
    "frequency-off-band": {"planned": {"frequency": 850}, "plan": {"radio": {"band": "eu-863-870"}}},
    "duty-excess": {
        "planned": REPORTS, "type_keys": SENDS, "plan": {"radio": {"licence": {"duty_percent": 0.01}}}},
    "airtime-excess": {
        "planned": REPORTS, "type_keys": SENDS, "plan": {"radio": {"licence": {"airtime_s_per_hour": 1}}}},
    "battery-life-short": {
        "planned": REPORTS, "plan": {"service_interval_years": 20},
        "type_keys": {**SENDS, "battery": {"capacity_ah": 8, "sleep_ua": 50, "transmit_ma": 30}}},
    "alarm-too-slow": {
        "planned": {**REPORTS, "alarm_high": 80}, "plan": {"alarms": {"response_time_s": 30}},
        "type_keys": SENDS},
    "channel-shared-nearby": {
        "planned": [{"x_m": 500, "y_m": 0}, {"network": "South", "x_m": 900, "y_m": 0}],
        "networks": {
            "North": {"gateway": {"channel": 7, "position": {"x_m": 0, "y_m": 0}}},
            "South": {"gateway": {"channel": 7, "position": {"x_m": 600, "y_m": 0}}}}},
}  # fmt: skip
"""Rule → a plan that breaks it. Every rule that looks at both sides has to be here."""

TWO_FILES = ("code-in-clear",)
"""Rules about files: the plan and the export are two files that carry codes, so both are reported."""


def sides(folder: Path, rule: str, **site: Any) -> list[str]:
    """Return the side of each finding of a rule."""
    findings = audit_of(folder, rules=rule, **site)
    return ["planned" if f.found is None and f.id.endswith("/planned") else "found" for f in findings]


def as_rows(planned: Any) -> list[dict[str, Any]]:
    """Return the planned rows, a single one as a list."""
    return [planned] if isinstance(planned, dict) else planned


def test_every_rule_that_looks_at_both_sides_is_here() -> None:
    """A new rule that looks at plan and readback needs a wrong plan in this file."""
    both = {rule.id for rule in read_rulebook((), None).rules if set(rule.sides) == {"planned", "found"}}

    assert sorted(both - set(WRONG_PLANS)) == [], "add it to WRONG_PLANS, with a plan that breaks it"
    assert sorted(set(WRONG_PLANS) - both) == [], "take out of WRONG_PLANS what is no such rule"


@pytest.mark.parametrize("rule", WRONG_PLANS)
def test_a_wrong_plan_is_reported_before_anyone_drives_out(rule: str, tmp_path: Path) -> None:
    """The plan alone shows the fault, and the finding names no value found."""
    assert sides(tmp_path, rule, **WRONG_PLANS[rule]) == ["planned"]


@pytest.mark.parametrize("rule", [rule for rule in WRONG_PLANS if rule not in TWO_FILES])
def test_a_wrong_plan_that_was_carried_out_is_reported_once(rule: str, tmp_path: Path) -> None:
    """Devices that are as planned are not reported again: the plan's finding covers them."""
    site = WRONG_PLANS[rule]
    found = [{k: v for k, v in row.items() if k not in ("x_m", "y_m")} for row in as_rows(site["planned"])]

    assert sides(tmp_path, rule, found=found, **site) == ["planned"]


@pytest.mark.parametrize("rule", [rule for rule in WRONG_PLANS if rule not in TWO_FILES])
def test_a_wrong_plan_with_a_blank_readback_is_reported_once(rule: str, tmp_path: Path) -> None:
    """What was not read is not wrong as found."""
    site = WRONG_PLANS[rule]
    found = [{k: row[k] for k in ("tag", "serial") if k in row} for row in as_rows(site["planned"])]

    assert sides(tmp_path, rule, found=found, **site) == ["planned"]


@pytest.mark.parametrize(
    ("rule", "found"),
    [
        ("alarm-outside-range", {"alarm_high": 2000}),
        ("alarm-outside-range", {"alarm_high": 2000, "range_low": "n/a", "range_high": 1000}),
        ("host-scale-differs", {"host_low": 0, "host_high": 600}),
        ("host-scale-differs", {"range_low": 0, "range_high": 1000}),
        ("host-timeout-short", {"host_timeout": 60}),
    ],
)
def test_a_wrong_plan_that_was_read_in_part_is_reported_once(
    rule: str, found: dict[str, object], tmp_path: Path
) -> None:
    """Where one of the values that do not fit was not read, the rest is still as planned."""
    assert sides(tmp_path, rule, found=found, **WRONG_PLANS[rule]) == ["planned"]


@pytest.mark.parametrize(
    ("rule", "planned", "found"),
    [
        ("alarm-order-wrong", {"alarm_low_low": 10, "alarm_low": 80, "alarm_high": 20},
         {"alarm_low": 80, "alarm_high": 20}),
        ("deadband-unworkable", {"alarm_low": 20, "alarm_high": 80, "alarm_high_high": 90, "deadband": 60},
         {"alarm_low": 20, "alarm_high": 80, "deadband": 60}),
    ],
)  # fmt: skip
def test_a_setpoint_that_was_not_read_makes_no_second_finding(
    rule: str, planned: dict[str, object], found: dict[str, object], tmp_path: Path
) -> None:
    """Setpoints that do not fit in the plan are not reported again because another one was left out."""
    assert sides(tmp_path, rule, planned=planned, found=found) == ["planned"]


@pytest.mark.parametrize(
    ("rule", "planned", "found"),
    [
        ("range-beyond-sensor", {"range_high": 1600}, {"range_high": "1600.04"}),
        ("range-beyond-sensor", {"range_high": "1600.0"}, {"range_high": "232.06 psi"}),
        ("value-outside-device", {"range_high": 9000}, {"range_high": "9000.05"}),
        (
            "alarm-order-wrong",
            {"alarm_low": 80, "alarm_high": 20},
            {"alarm_low": "80.04", "alarm_high": "0.2 bar"},
        ),
        ("span-too-small", {"range_low": 0, "range_high": 10}, {"range_low": "0.01", "range_high": 10}),
    ],
)
def test_a_wrong_plan_that_was_carried_out_to_the_display_is_reported_once(
    rule: str, planned: dict[str, object], found: dict[str, object], tmp_path: Path
) -> None:
    """As planned means within the display resolution, and after a conversion of units, here as elsewhere."""
    assert sides(tmp_path, rule, planned=planned, found=found) == ["planned"]


@pytest.mark.parametrize(
    ("rule", "found"),
    [
        ("channel-differs", {"channel": 9}),
        ("alarm-outside-range", RANGE | {"alarm_high": 3000}),
        ("range-beyond-sensor", {"range_low": 0, "range_high": 1700}),
        ("register-out-of-reach", {"host_register": 80000}),
        ("firmware-off-list", {"firmware": "0.9"}),
    ],
)
def test_a_device_that_is_wrong_in_its_own_way_is_reported_as_well(
    rule: str, found: dict[str, object], tmp_path: Path
) -> None:
    """Plan and device are both wrong, in different ways: that is two things to correct."""
    assert sorted(sides(tmp_path, rule, found=found, **WRONG_PLANS[rule])) == ["found", "planned"]


def test_the_gateway_rules_look_at_the_gateway_as_found(tmp_path: Path) -> None:
    """A plan that sets a node apart from its gateway is reported once, however the gateway was found."""
    site = WRONG_PLANS["channel-differs"]

    for gateway_found in (AS_PLANNED, None, {"channel": 9}):
        assert sides(
            tmp_path, "channel-differs", found=site["planned"], gateway_found=gateway_found, **site
        ) == ["planned"]


def test_what_was_not_planned_is_not_called_not_read(tmp_path: Path) -> None:
    """Of several values, one that the plan leaves out is 'not planned'; 'not read' is said of the site."""
    (finding,) = audit_of(
        tmp_path,
        rules="deadband-unworkable",
        planned={"deadband": 5, "alarm_low": 20, "alarm_high": 80},
        found={"deadband": 0, "alarm_low": 20},
    )

    assert "alarm_low_low not read" in str(finding.found)
    assert "alarm_high not read" in str(finding.found)
    assert "alarm_low_low not planned" in str(finding.planned)
    assert "not read" not in str(finding.planned)
