"""One scale: setpoints in percent of the range, or in another unit than it, are drawn where they belong."""

from __future__ import annotations

import math

import pytest

from audit.model.detail import SettingDetail
from audit.reporting.one_scale import numbers, unit_of
from tests.reporting.detailed import setting

LOW, HIGH = setting("range_low", "200", "200"), setting("range_high", "1200", "2200")


def of(name: str, unit: str, planned: str, found: str | None = None) -> SettingDetail:
    """Return a setting in a unit."""
    return setting(name, planned, found or planned).model_copy(update={"unit": unit})


def test_a_percentage_is_part_of_the_range_of_its_side() -> None:
    """78 % of 200 to 1200 kPa is 980 kPa; of the wider range that was found, 1760 kPa."""
    shown = {"range_low": LOW, "range_high": HIGH, "alarm_high": of("high_alarm", "%", "78"),
             "deadband": of("deadband", "%", "2")}  # fmt: skip

    assert unit_of(shown) == "kPa"
    assert numbers(shown, "planned") == {
        "range_low": 200,
        "range_high": 1200,
        "alarm_high": 980,
        "deadband": 20,
    }
    assert numbers(shown, "found") == {
        "range_low": 200,
        "range_high": 2200,
        "alarm_high": 1760,
        "deadband": 40,
    }


def test_a_range_that_was_not_read_is_as_planned() -> None:
    """The drawing then has no bar for it, but the setpoint has its place."""
    ends = {"range_low": setting("range_low", "200", None), "range_high": setting("range_high", "1200", None)}

    assert numbers({**ends, "alarm_high": of("high_alarm", "%", "78")}, "found") == {"alarm_high": 980}


def test_without_a_range_a_percentage_has_no_place_beside_other_units() -> None:
    """A range of which one end is not known has no part."""
    shown = {
        "range_low": LOW,
        "alarm_low": of("low_alarm", "%", "10"),
        "alarm_high": of("high_alarm", "kPa", "780"),
    }

    assert numbers(shown, "planned") == {"range_low": 200, "alarm_high": 780}


def test_all_in_percent_are_drawn_as_they_are() -> None:
    """A range in percent, as of a gate's position, has percentages of its own."""
    shown = {"range_low": of("range_low", "%", "0"), "range_high": of("range_high", "%", "50"),
             "alarm_high": of("high_alarm", "%", "40")}  # fmt: skip

    assert numbers(shown, "planned")["alarm_high"] == 40


@pytest.mark.parametrize(
    ("unit", "planned", "drawn"),
    [("bar", "7.8", {"alarm_high": pytest.approx(780)}), ("m", "5", {}), ("", "780", {"alarm_high": 780.0})],
)
def test_another_unit_is_converted_where_it_can_be(unit: str, planned: str, drawn: dict[str, float]) -> None:
    """7.8 bar is beside 200 to 1200 kPa; a level in m is nowhere on a scale in kPa."""
    shown = {"range_low": LOW, "range_high": HIGH, "alarm_high": of("high_alarm", unit, planned)}
    rest = {
        role: number for role, number in numbers(shown, "planned").items() if not role.startswith("range")
    }

    assert rest == drawn


def test_a_deadband_is_a_difference() -> None:
    """3.6 °F are 2 °C, without the zero of the scale."""
    shown = {"range_low": of("range_low", "°C", "0"), "range_high": of("range_high", "°C", "100"),
             "deadband": of("deadband", "°F", "3.6")}  # fmt: skip

    assert numbers(shown, "planned")["deadband"] == pytest.approx(2)


@pytest.mark.parametrize("unit", ["kPa", "%", "bar"])
def test_what_is_no_finite_number_is_not_drawn(unit: str) -> None:
    """An export may hold anything."""
    odd = of("high_alarm", unit, "1").model_copy(update={"planned_number": math.inf})

    assert "alarm_high" not in numbers({"range_low": LOW, "range_high": HIGH, "alarm_high": odd}, "planned")
