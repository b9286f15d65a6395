"""Slips of quantities: points, marks, signs, units, pressure references, percent."""

from __future__ import annotations

from typing import Any

import pytest

from audit.slips import Around
from tests.slips.cases import LEVEL, PRESSURE, fitting, ranked, setting, value

ZONE = Around(
    elevation_m=12, range_low=value("0", setting(**PRESSURE)), range_high=value("1000", setting(**PRESSURE))
)
CELSIUS: dict[str, Any] = {"kind": "decimal", "unit": "°C", "step": 0.1}
FLOW: dict[str, Any] = {"kind": "decimal", "unit": "L/s", "step": 0.1}


@pytest.mark.parametrize(
    ("slip", "of", "planned", "found"),
    [
        ("point-shift", PRESSURE, "780", "78"),
        ("point-shift", PRESSURE, "780", "780000"),
        ("point-shift", LEVEL, "3.50", "0.35"),
        ("point-shift", PRESSURE, "785", "78.5"),
        ("comma-point", {"kind": "decimal", "step": 0.001}, "1.250", "1250"),
        ("comma-point", {"kind": "decimal", "step": 0.001}, "1250", "1.250"),
        ("comma-point", PRESSURE, "1250", "1.250"),  # which its display, of whole numbers, cannot show
        ("comma-point", {"kind": "integer"}, "1250", "1.250"),
        ("comma-point", {"kind": "integer"}, "1250", "1,250"),
        ("comma-point", CELSIUS, "125.0", "1250"),
        ("comma-point", CELSIUS, "125.0", "125,0"),
        ("sign-lost", LEVEL, "-2.50", "2.50"),
        ("sign-lost", LEVEL, "2.50", "-2.50"),
        ("unit-slip", PRESSURE, "1600", "232"),  # psi, 232.06
        ("unit-slip", PRESSURE, "1600", "163"),  # metres of water, 163.2
        ("unit-slip", PRESSURE, "1600", "16"),  # bar
        ("unit-slip", PRESSURE, "100", "689"),  # as if the plan were in psi
        ("unit-slip", FLOW, "4500", "16200"),  # m³/h
        ("unit-slip", CELSIUS, "125.0", "257"),  # °F, with its shift
        ("unit-slip", CELSIUS, "125.0", "51.7"),
        ("unit-slip", {**CELSIUS, "role": "deadband"}, "2.0", "3.6"),  # a difference is not shifted
        ("gauge-absolute", PRESSURE, "280", "381"),
        ("gauge-absolute", PRESSURE, "280", "384"),  # weather
        ("gauge-absolute", PRESSURE, "350", "249"),
        ("gauge-absolute", {"kind": "decimal", "unit": "bar", "step": 0.01}, "2.80", "3.81"),
        ("percent-entered", PRESSURE, "280", "28"),
        ("percent-entered", {**PRESSURE, "role": "deadband"}, "50", "5"),
    ],
)
def test_a_slip_is_recognised(slip: str, of: dict[str, Any], planned: str, found: str) -> None:
    """The slip is among those named for the value that it makes."""
    assert slip in fitting(of, planned, found, ZONE)


@pytest.mark.parametrize(
    ("slip", "of", "planned", "found"),
    [
        ("point-shift", PRESSURE, "780", "79"),
        ("point-shift", PRESSURE, "0", "10"),
        ("unit-slip", PRESSURE, "1600", "233"),  # more than half a step from 232.06
        ("unit-slip", {"kind": "decimal", "step": 1}, "1600", "232"),  # no unit
        ("unit-slip", {**CELSIUS, "role": "deadband"}, "2.0", "35.6"),
        ("gauge-absolute", PRESSURE, "280", "386"),  # more than weather
        ("gauge-absolute", LEVEL, "2.80", "104.13"),  # not a pressure
        ("gauge-absolute", {**PRESSURE, "role": "deadband"}, "15", "116"),  # a difference
        ("percent-entered", PRESSURE, "280", "29"),
        ("percent-entered", {**PRESSURE, "unit": "%"}, "280", "28"),
        ("comma-point", {"kind": "integer"}, "1250", "12.50"),
        ("sign-lost", LEVEL, "0", "1"),
    ],
)
def test_a_slip_is_not_recognised(slip: str, of: dict[str, Any], planned: str, found: str) -> None:
    """A value close to a definition but outside it gets another name, or none."""
    assert slip not in fitting(of, planned, found, ZONE)


@pytest.mark.parametrize(
    ("role", "ends", "planned", "found", "recognised"),
    [
        ("alarm_high", ("0", "12"), "79.2", "9.5", True),  # 9.504 m
        ("alarm_high", ("0", "12"), "79.2", "9.6", False),
        ("alarm_high", ("2", "12"), "79.2", "9.9", True),  # 9.92 m
        ("deadband", ("2", "14"), "5.0", "0.6", True),  # of 12 m
    ],
)
def test_a_percentage_entered_in_the_unit_of_its_range(
    role: str, ends: tuple[str, str], planned: str, found: str, recognised: bool
) -> None:
    """A display that wants percent was given metres, to the resolution of the display."""
    percent = {"kind": "decimal", "unit": "%", "step": 0.1, "role": role}
    in_metres = {"kind": "decimal", "unit": "m", "step": 0.01}
    low, high = (value(text, setting(**in_metres)) for text in ends)
    named = ranked(percent, planned, found, Around(range_low=low, range_high=high, range_unit="m"))

    assert ("percent-entered" in [slip.id for slip in named.slips]) is recognised
    assert ("entered in m instead of percent" in named.words()) is recognised


def test_the_air_of_the_site_counts() -> None:
    """At 1500 m the air pressure is 84.6 kPa: a difference of 101 is then no mix-up of gauge and absolute."""
    high = Around(elevation_m=1500)

    assert "gauge-absolute" in fitting(PRESSURE, "280", "365", high)
    assert "gauge-absolute" not in fitting(PRESSURE, "280", "381", high)
    assert "gauge-absolute" in fitting(PRESSURE, "280", "381", Around())  # sea level, if nothing is stated


def test_words_say_which_way_a_number_was_converted() -> None:
    """Into psi, or from psi although the plan was already in kPa."""
    assert ranked(PRESSURE, "1600", "232").words().startswith("likely slip: entered in psi instead of kPa")
    assert ranked(PRESSURE, "123", "848").words() == (
        "likely slip: converted from psi to kPa, though planned in kPa (99 %)"
    )


def test_words_speak_of_zeros_where_a_display_has_no_point() -> None:
    """A technician sees no decimal point on a display of whole numbers; 78.5 is from somebody's sheet."""
    assert "one zero too few" in ranked(PRESSURE, "780", "78").words()
    assert "two zeros too many" in ranked({"kind": "integer"}, "78", "7800").words()
    assert "decimal point off by two places" in ranked(LEVEL, "3.50", "350").words()
    assert "decimal point off by one place" in ranked(PRESSURE, "785", "78.5").words()


def test_a_range_without_width_has_no_percent() -> None:
    """Both ends equal: nothing to take a percentage of, and no internal fault."""
    flat = Around(range_low=value("5", setting(**PRESSURE)), range_high=value("5", setting(**PRESSURE)))

    assert "percent-entered" not in fitting(PRESSURE, "5", "100", flat)
