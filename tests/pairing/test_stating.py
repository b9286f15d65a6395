"""Stating units: a report never claims a unit that nobody wrote."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.result import Finding
from tests.site_builder import audit_of

THERMOMETER: dict[str, Any] = {
    "unit": {"kind": "option", "options": ["°C", "°F"]},
    **{
        role: {"kind": "decimal", "unit": "°C", "step": 0.1}
        for role in ("range_low", "range_high", "alarm_high")
    },
    "deadband": {"kind": "decimal", "unit": "°C", "step": 0.1},
}
PLANNED = {"unit": "°C", "range_low": 0, "range_high": 150, "alarm_high": 125, "deadband": 2}
FAHRENHEIT = {
    "unit": "°F",
    "range_low": "32.0",
    "range_high": "302.0",
    "alarm_high": "257.0",
    "deadband": "3.6",
}


def found(folder: Path, **read: Any) -> list[Finding]:
    """Return the findings on a thermometer that was read as planned except for this."""
    return audit_of(folder, settings=THERMOMETER, planned=PLANNED, found=PLANNED | read)


def test_bare_numbers_of_a_device_in_another_unit_stay_bare(tmp_path: Path) -> None:
    """Nobody has read 302.0 °C; what was read is 302.0, on a device that shows °F."""
    findings = found(tmp_path, **FAHRENHEIT)

    by_setting = {f.setting: f for f in findings if f.rule in ("range-differs", "alarm-off-plan")}
    assert by_setting["range_high"].found == "302.0 (unit found: °F)"
    assert by_setting["range_high"].message == "range_high is 302.0 (unit found: °F), planned 150 °C"
    assert by_setting["deadband"].found == "3.6 (unit found: °F)"
    assert not [f.message for f in findings if "302.0 °C" in f.message or "257.0 °C" in f.message]


def test_the_unit_is_the_one_cause_of_ranges_and_alarms(tmp_path: Path) -> None:
    """A device that was switched to °F, and converts, is one fault and not five."""
    causes = [f for f in found(tmp_path, **FAHRENHEIT) if f.caused_by is None and f.node == "A"]

    assert [f.rule for f in causes if f.rule != "default-code-not-tried"] == ["unit-differs"]


@pytest.mark.parametrize(("shown", "alone"), [("302", []), ("302.4", []), ("303", ["range-differs"])])
def test_a_number_that_the_display_has_rounded_in_the_other_unit_is_the_planned_one(
    shown: str, alone: list[str], tmp_path: Path
) -> None:
    """150.2 °C is 302.36 °F: a display of whole degrees shows 302, one with tenths 302.4."""
    planned, read = PLANNED | {"range_high": 150.2}, FAHRENHEIT | {"range_high": shown}
    findings = audit_of(tmp_path, settings=THERMOMETER, planned=planned, found=read)

    causes = [f.rule for f in findings if f.caused_by is None and f.node == "A"]
    assert [rule for rule in causes if rule != "default-code-not-tried"] == ["unit-differs", *alone]


@pytest.mark.parametrize(
    ("read", "says"),
    [
        ({}, "unit is °F, planned °C; its 4 numbers are the planned ones, converted to °F"),
        ({"range_high": "302.1"}, "unit is °F, planned °C"),
        (
            {"range_high": "150 °C"},
            "unit is °F, planned °C; its 3 numbers are the planned ones, converted to °F",
        ),
    ],
)
def test_numbers_that_are_the_planned_ones_in_its_unit_are_said_to_be(
    read: dict[str, str], says: str, tmp_path: Path
) -> None:
    """Then only the unit has to be settled; with one other number off, nothing is said."""
    findings = found(tmp_path, **FAHRENHEIT | read)

    assert [f.message for f in findings if f.rule == "unit-differs"] == [says]


@pytest.mark.parametrize("text", ["302.0 °F", "302 degF"])
def test_a_unit_that_was_written_is_kept(text: str, tmp_path: Path) -> None:
    """If the cell says °F, it is converted, and as planned."""
    assert "range_high" not in {f.setting for f in found(tmp_path, unit="°F", range_high=text)}


def test_a_unit_in_the_heading_is_kept(tmp_path: Path) -> None:
    """If the heading says °C, that is what was written, whatever the device's own unit is."""
    row = {k: v for k, v in (PLANNED | {"unit": "°F"}).items() if k != "range_high"}
    findings = audit_of(
        tmp_path, settings=THERMOMETER, planned=PLANNED, found=row | {"range_high [°C]": "160"}
    )

    assert [f.found for f in findings if f.setting == "range_high"] == ["160 °C"]


def test_other_devices_and_other_quantities_keep_their_units(tmp_path: Path) -> None:
    """Seconds are not degrees, and the other node shows °C as planned."""
    planned = [PLANNED | {"report_interval": 60}] * 2
    read = [
        PLANNED | {"unit": "°F", "report_interval": 90},
        PLANNED | {"range_high": 160, "report_interval": 60},
    ]
    findings = audit_of(tmp_path, settings=THERMOMETER, planned=planned, found=read)

    assert {f.node: f.found for f in findings if f.setting in ("report_interval", "range_high")} == {
        "A": "90 s",
        "B": "160 °C",
    }
