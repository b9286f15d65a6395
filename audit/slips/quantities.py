"""Slips of quantities: the point, the sign, the unit, the pressure reference, percent."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from functools import partial
from math import isnan

from audit.engineering.atmosphere import SEA_LEVEL_KPA, pressure_kpa
from audit.model.device import Setting
from audit.model.roles import DIFFERENCES
from audit.model.table import Style
from audit.reading.values import parse, plain
from audit.slips.around import Key
from audit.slips.case import NOTHING, Case, Reach, Span
from audit.slips.priors import kpa_in, taken_for

WEATHER_KPA = 3
"""How far the air pressure may be from the standard one at the site's height: judgement."""
COUNTS = {1: "one", 2: "two", 3: "three"}


def point_shift(case: Case) -> Reach:
    """Return the planned number multiplied or divided by 10, 100 and 1000."""
    if not case.numeric:
        return NOTHING
    return case.reach((case.number().scaleb(shift), _shifted(case, shift)) for shift in (-3, -2, -1, 1, 2, 3))


def _shifted(case: Case, shift: int) -> str:
    """Return what happened to a number; if the display has no point for it, zeros were added or lost."""
    count = COUNTS[abs(shift)]
    if case.places or not case.on_display(case.number().scaleb(shift)):
        return f"decimal point off by {count} {'place' if abs(shift) == 1 else 'places'}"
    return f"{count} {'zero' if abs(shift) == 1 else 'zeros'} too {'many' if shift > 0 else 'few'}"


def comma_point(case: Case) -> Reach:
    """Return the planned number with its decimal mark read as a thousands mark, or the other way round.

    1.250 then becomes 1250, and 1250, written 1,250, becomes 1.250. A text that is not a number in the
    declared style counts if it is the planned number in another style.
    """
    if not case.numeric:
        return NOTHING
    reach = case.reach_plain(_marks_exchanged(case))
    unlisted = 0 if reach.values else 1
    return Reach(reach.values, also=partial(_planned_in_another_style, case), unlisted=unlisted)


def _marks_exchanged(case: Case) -> Iterator[Decimal]:
    number = case.number()
    for places in {case.places, _written_places(case.around.planned_text)} - {0}:
        yield number.scaleb(places)
    if abs(number) >= 1000 and number == number.to_integral_value():
        yield number.scaleb(-3)


def _written_places(text: str) -> int:
    """Return how many digits follow the only mark of a text; 0 unless there is exactly one."""
    number = text.strip().partition(" ")[0]
    marks = [character for character in number if character in ".,"]
    return len(number) - number.index(marks[0]) - 1 if len(marks) == 1 else 0


OTHER_STYLES = (
    Style(decimal=",", grouping="."),
    Style(decimal=".", grouping=","),
    Style(decimal=","),
    Style(decimal="."),
)


def _planned_in_another_style(case: Case, key: Key) -> bool:
    """Tell whether a text is the planned number, written in a style other than the declared one."""
    if not isinstance(key, str):
        return False
    return any(parse(key, case.setting, style).number == case.number() for style in OTHER_STYLES)


def sign_lost(case: Case) -> Reach:
    """Return the planned number with the other sign."""
    return case.reach_plain([-case.number()]) if case.numeric else NOTHING


def unit_slip(case: Case) -> Reach:
    """Return the planned number converted into or from each unit that is often mistaken for its own.

    Recognised within half a step of the display.
    """
    if not case.numeric or not case.setting.unit:
        return NOTHING
    return case.reach_spans(
        span
        for other, factor, shift in taken_for(case.setting.unit)
        for span in _both_ways(case, other, factor, Decimal(0) if _is_difference(case) else shift)
    )


def _both_ways(case: Case, other: str, factor: Decimal, shift: Decimal) -> Iterator[Span]:
    number, unit, half = case.number(), case.setting.unit, case.grid / 2
    yield Span(number * factor + shift, half, f"entered in {other} instead of {unit}")
    yield Span((number - shift) / factor, half, f"converted from {other} to {unit}, though planned in {unit}")


def _is_difference(case: Case) -> bool:
    return case.setting.role in DIFFERENCES


def air_pressure(setting: Setting, elevation_m: float | None) -> tuple[Decimal, Decimal] | None:
    """Return the air pressure at a site and how far the weather moves it, in the unit of a setting.

    `elevation_m` is the site's height above sea level in metres. None if the setting is not a pressure.
    """
    pressure = setting.numeric and setting.unit and setting.role not in DIFFERENCES
    one_kpa = kpa_in(setting.unit) if pressure else None
    if one_kpa is None:
        return None
    at_sea = elevation_m is None or isnan(elevation_m)
    air = Decimal(str(SEA_LEVEL_KPA if at_sea else pressure_kpa(elevation_m or 0)))
    return air * one_kpa, WEATHER_KPA * one_kpa


def gauge_absolute(case: Case) -> Reach:
    """Return pressures that differ from the plan by the air pressure at the site, within 3 kPa."""
    unit, pressures = case.setting.unit, air_pressure(case.setting, case.around.elevation_m)
    if pressures is None or not case.numeric:
        return NOTHING
    air, within = pressures
    shown = f"{plain(round(air, 0 if air > 20 else 2))} {unit.split()[0]}"
    words = f"gauge and absolute pressure mixed up, {shown} apart"
    return case.reach_spans(Span(case.number() + sign * air, within, words) for sign in (1, -1))


def percent_entered(case: Case) -> Reach:
    """Return the planned value in percent of the planned range; a deadband as its share of the span.

    Where the setting is itself a percentage of its range, return it in the unit of the range.
    """
    low, high, unit = case.around.range_low.number, case.around.range_high.number, case.around.range_unit
    if not case.numeric or low is None or high is None or low == high:
        return NOTHING
    if case.setting.unit == "%" and not unit:
        return NOTHING
    zero = Decimal(0) if _is_difference(case) else low
    try:
        if unit:
            own = zero + case.number() * (high - low) / 100
            return case.reach_spans([Span(own, case.grid / 2, f"entered in {unit} instead of percent")])
        percent = 100 * (case.number() - zero) / (high - low)
    except InvalidOperation:
        return NOTHING
    return case.reach_spans([Span(percent, case.grid / 2)])
