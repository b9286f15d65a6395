"""Folding of symptoms: what follows from another finding goes under it."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

import pytest

from audit.checking import Found
from audit.folding.findings import Findings
from audit.folding.symptoms import under_symptoms
from audit.model.finding import Hit
from audit.model.site import Site
from audit.reading.rules import read_rulebook
from tests.folding.sites import fold, nodes
from tests.site_builder import audit_of


@pytest.mark.parametrize(
    ("symptom", "cause", "planned", "found"),
    [
        ("alarm-order-wrong", "alarm-off-plan", {"alarm_low": 20, "alarm_high": 80},
         {"alarm_low": 20, "alarm_high": 8}),
        ("alarm-outside-range", "range-differs", {"range_low": 0, "range_high": 100, "alarm_high": 80},
         {"range_low": 0, "range_high": 60, "alarm_high": 80}),
        ("range-differs", "unit-differs", {"unit": "kPa g", "range_high": 1000},
         {"unit": "bar", "range_high": 10}),
        ("address-left-default", "address-differs", {"address": 3}, {"address": 247}),
        ("register-overlap", "register-differs", [{"host_register": 1}, {"host_register": 9}],
         [{"host_register": 1}, {"host_register": 1}]),
        ("value-outside-device", "address-differs", {"address": 3}, {"address": 999}),
        ("reading-implausible", "offset-unexplained", {"range_low": 0, "range_high": 100},
         {"range_low": 0, "range_high": 100, "offset": 50, "reading": 70, "check_reading": 20}),
        ("register-overlap", "register-differs", [{"host_register": 9}, {"host_register": 1}],
         [{"host_register": 9}, {"host_register": 9}]),
        ("stale-shown-good", "silent-node", {"report_interval": 60},
         {"last_heard": 999, "host_quality": "good"}),
        ("host-reading-differs", "host-scale-differs", {"range_low": 0, "range_high": 100, "host_high": 100},
         {"host_high": 200, "reading": 40, "host_reading": 80}),
        ("host-reading-differs", "silent-node", {"range_low": 0, "range_high": 100, "report_interval": 60},
         {"last_heard": 999, "reading": 40, "host_reading": 80}),
        ("word-order-suspect", "host-map-differs", {"host_high": 100},
         {"host_high": 200, "reading": "123.5", "host_reading": "2.4022459e-41"}),
    ],
)  # fmt: skip
def test_a_symptom_goes_under_its_cause(
    symptom: str, cause: str, planned: Any, found: Any, tmp_path: Path
) -> None:
    """What follows from another finding on the same device is reported under it."""
    by_rule = {f.rule: f for f in audit_of(tmp_path, planned=planned, found=found)}

    assert by_rule[symptom].caused_by == by_rule[cause].id
    assert by_rule[symptom].id in by_rule[cause].dependents


ALARMS: dict[str, Any] = {"range_low": 0, "range_high": 100, "alarm_low": 20, "alarm_high": 75, "deadband": 3}


@pytest.mark.parametrize(
    ("symptom", "found", "setting"),
    [
        ("deadband-unworkable", {"alarm_low": 15, "deadband": 0}, "deadband"),
        ("deadband-unworkable", {"alarm_low": 73, "deadband": 4}, "alarm_low"),
        ("alarm-outside-range", {"alarm_high": 74, "range_high": 60}, "range_high"),
        ("alarm-order-wrong", {"alarm_low": 76, "alarm_high": 74}, "alarm_low"),
    ],
)
def test_a_symptom_goes_under_the_finding_whose_correction_removes_it(
    symptom: str, found: dict[str, Any], setting: str, tmp_path: Path
) -> None:
    """Two settings are wrong; correcting one removes the symptom, correcting the other does not."""
    findings = audit_of(tmp_path, planned=ALARMS, found=ALARMS | found)

    (cause,) = [f for f in findings if any(d.startswith(f"{symptom}/") for d in f.dependents)]
    assert cause.settings == [setting]


def test_what_no_correction_removes_is_a_cause_of_its_own(tmp_path: Path) -> None:
    """The low alarm has to go up, and is above a high alarm that nobody planned, before and after."""
    findings = audit_of(tmp_path, planned={"alarm_low": 50}, found={"alarm_low": 40, "alarm_high": 30})

    (order,) = [f for f in findings if f.rule == "alarm-order-wrong"]
    assert order.caused_by is None


def test_an_address_still_held_twice_after_two_changed_back_is_caused_by_the_third(tmp_path: Path) -> None:
    """A and B are swapped, and C was keyed in as B: A and C share one address, and then B and C."""
    planned = [{"address": n} for n in (31, 32, 33)]
    findings = audit_of(tmp_path, planned=planned, found=[{"address": n} for n in (32, 31, 32)])

    (twice,) = [f for f in findings if f.rule == "address-duplicate"]
    assert twice.caused_by == "address-differs/North/C/address"


@pytest.mark.parametrize(
    ("shown", "follows"), [("2.22", True), ("2.2", True), ("2", True), ("2.0", False), ("400", False)]
)
def test_only_the_planned_number_in_another_unit_follows_from_the_unit(
    shown: str, follows: bool, tmp_path: Path
) -> None:
    """222 kPa is 2.22 bar, or 2.2 if no more digits are shown; 400 is not 222 in any unit."""
    planned = {"unit": "kPa g", "alarm_low": 222}
    findings = audit_of(tmp_path, planned=planned, found={"unit": "bar", "alarm_low": shown})

    (alarm,) = [f for f in findings if f.rule == "alarm-off-plan"]
    assert (alarm.caused_by is not None) is follows


@pytest.mark.parametrize(
    ("symptom", "cause", "found"),
    [("channel-differs", "joined-wrong-gateway", {"channel": 8, "joined_gateway": "GW-2"}),
     ("silent-node", "channel-differs", {"channel": 8, "last_heard": 999})],
)  # fmt: skip
def test_what_follows_from_the_wrong_radio(symptom: str, cause: str, found: Any, tmp_path: Path) -> None:
    """A node in another gateway's list has that gateway's channel; a node on another channel is silent."""
    radio = {"channel": 7}
    findings = audit_of(tmp_path, gateway=radio, gateway_found=radio, found=found,
                        planned=radio | {"report_interval": 60})  # fmt: skip
    by_rule = {f.rule: f for f in findings}

    assert by_rule[symptom].caused_by == by_rule[cause].id


@pytest.mark.parametrize(("day", "symptom"), [("2001-01-01", "code-too-old"), ("", "code-age-unknown")])
def test_the_age_of_a_code_goes_under_the_factory_code(day: str, symptom: str, tmp_path: Path) -> None:
    """Whoever changes the factory code and records the day answers for its age as well."""
    settings = {
        "default_refused": {"kind": "option", "options": ["yes", "no"], "role": "default_refused"},
        "code_changed_on": {"kind": "text", "role": "code_changed_on"},
    }
    yearly = {"access_codes": {"change_every_days": 365}}
    findings = audit_of(tmp_path, plan=yearly, settings=settings, gateway_found=None,
                        found={"default_refused": "no", "code_changed_on": day})  # fmt: skip
    by_rule = {f.rule: f for f in findings}

    assert by_rule[symptom].caused_by == by_rule["default-code-accepted"].id


BAND: dict[str, Any] = {"radio": {"band": "eu-863-870"}}
RADIO = {"channel": 7, "radio_power": 14, "antenna_gain": 2, "frequency": 868.3, "seal": "S-1"}


@pytest.mark.parametrize(
    ("symptom", "otherwise"),
    [("radiated-power-excess", {"antenna_gain": 9}), ("frequency-off-band", {"frequency": 868.65})],
)
def test_what_follows_from_another_antenna_or_frequency(
    symptom: str, otherwise: dict[str, float], tmp_path: Path
) -> None:
    """One thing was exchanged, at a node or at the gateway: that is one cause."""
    for device, found in (("node", RADIO | otherwise), ("gateway", RADIO)):
        gateway_found = RADIO | (otherwise if device == "gateway" else {})
        findings = audit_of(tmp_path / device, plan=BAND, gateway=RADIO, gateway_found=gateway_found,
                            planned=RADIO, found=found)  # fmt: skip
        by_rule = {f.rule: f for f in findings}
        cause = by_rule["setting-differs" if device == "node" else "gateway-off-plan"]

        assert cause.dependents == [by_rule[symptom].id]


def test_a_seal_has_nothing_to_do_with_the_band(tmp_path: Path) -> None:
    """An unplanned frequency is off the band, and independently of that the seal is another one."""
    findings = audit_of(
        tmp_path, plan=BAND, planned={"seal": "S-1"}, found={"frequency": 868.65, "seal": "S-2"}
    )
    by_rule = {f.rule: f for f in findings}

    assert by_rule["setting-differs"].settings == ["seal"]
    assert by_rule["frequency-off-band"].caused_by is None


def test_a_frequency_off_the_band_goes_under_the_channel(tmp_path: Path) -> None:
    """Channel 40 is beyond the band; a node on it was set to it by mistake."""
    radio = {"band": "eu-863-870", "channels": {"first_mhz": 868.0, "step_mhz": 0.1}}
    findings = audit_of(tmp_path, plan={"radio": radio}, gateway={"channel": 4}, found={"channel": 40})
    by_rule = {f.rule: f for f in findings}

    assert by_rule["frequency-off-band"].caused_by == by_rule["channel-differs"].id


def test_a_symptom_on_the_innocent_neighbour(tmp_path: Path) -> None:
    """A node that moved into its neighbour's registers is the cause of findings on both."""
    planned = [{"host_register": 1}, {"host_register": 9}, {"host_register": 20}]
    for moved in range(3):
        found = [dict(row) for row in planned]
        found[moved] = planned[(moved + 1) % 3]
        findings = audit_of(tmp_path / str(moved), planned=planned, found=found)
        (cause,) = [f for f in findings if f.rule == "register-differs"]

        assert {f.caused_by for f in findings if f.rule == "register-overlap"} == {cause.id}


def test_a_symptom_of_a_folded_finding_goes_under_the_root(tmp_path: Path) -> None:
    """Duplicates that come from a slipped table go under the slip, and not under one of its rows."""
    cause = fold(
        tmp_path, "rows-slipped", planned=nodes(4, address=[11, 23, 35, 48]),
        found=nodes(4, address=[23, 35, 48, 48]),
    )  # fmt: skip

    assert any(d.startswith("address-duplicate/") for d in cause.dependents)


def test_other_settings_of_a_device_are_no_symptom(tmp_path: Path) -> None:
    """One alarm was mis-keyed; another is planned outside the range, for other reasons."""
    alarms = {"range_low": 0, "range_high": 100, "alarm_low": 20, "alarm_high": 120}
    findings = audit_of(tmp_path, planned=alarms, found=alarms | {"alarm_low": 25})

    outside = [f for f in findings if f.rule == "alarm-outside-range"]
    assert {f.caused_by for f in outside} == {None}


def test_a_finding_about_a_network_follows_from_one_of_its_devices(tmp_path: Path) -> None:
    """One node reports every second for every hour: the gateway's capacity is right, as planned."""
    findings = audit_of(tmp_path, planned={"report_interval": 3600}, found={"report_interval": 1},
                        networks={"North": {"capacity": {"nodes": 9, "reports_per_hour": 10}}})  # fmt: skip
    by_rule = {f.rule: f for f in findings}

    assert by_rule["reports-over-capacity"].caused_by == by_rule["report-interval-differs"].id


def test_what_the_plan_has_wrong_does_not_follow_from_a_reading(tmp_path: Path) -> None:
    """The plan itself asks too much of the gateway, whatever the nodes were set to."""
    findings = audit_of(tmp_path, planned={"report_interval": 1}, found={"report_interval": 2},
                        networks={"North": {"capacity": {"nodes": 9, "reports_per_hour": 10}}})  # fmt: skip

    planned = next(
        f for f in findings if f.id.startswith("reports-over-capacity") and f.id.endswith("/planned")
    )
    assert planned.caused_by is None


class Watched(list[Found]):
    """A list of findings that counts how often it is looked at."""

    looks = 0

    def __getitem__(self, at: Any) -> Any:
        """Return a finding."""
        self.looks += 1
        return super().__getitem__(at)


def test_a_tag_that_was_filled_down_does_not_make_every_finding_a_neighbour_of_all() -> None:
    """With 3,000 devices under one tag, folding took minutes."""
    rules = {rule.id: rule for rule in read_rulebook((), None).rules}
    held = Hit("North", "T", (), "held by many", others=("T",) * 300)
    outside = [Found(rules["value-outside-device"], Hit("North", "T", ("gain",), str(n))) for n in range(300)]
    items = Watched([Found(rules["tag-duplicate"], held), *outside])
    findings = Findings(cast("Site", None), items, {})

    assert list(under_symptoms(findings)) == []
    assert items.looks <= 10 * len(items)
