"""One scale: the numbers of an alarm strip in the unit of its range, percentages of the range included."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from decimal import Decimal

from audit.model.detail import SettingDetail
from audit.model.roles import DIFFERENCES, RANGE_ENDS
from audit.reading import units

Shown = Mapping[str, SettingDetail]
"""Role → setting, of one measuring input, the range first."""


def unit_of(shown: Shown) -> str:
    """Return the unit of the scale: that of the range, unless it has no number."""
    numbered = [s for s in shown.values() if (s.planned_number, s.found_number) != (None, None)]
    return next((setting.unit for setting in numbered if setting.unit), None) or ""


def numbers(shown: Shown, side: str) -> dict[str, float]:
    """Return role → number of one side in the unit of the scale; what cannot be drawn on it is left out."""
    unit = unit_of(shown)
    ends = [_end(shown, role, side) for role in RANGE_ENDS]
    found = {}
    for role, setting in shown.items():
        number = _number(setting, side)
        if number is not None:
            number = _on_scale(number, role, setting.unit or unit, unit, ends)
        if number is not None and math.isfinite(number):
            found[role] = number
    return found


def _on_scale(number: float, role: str, unit: str, scale: str, ends: list[float | None]) -> float | None:
    """Return a number in the unit of the scale; None if it has none there."""
    if units.equal(unit, scale):
        return number
    if not math.isfinite(number):
        return None
    exact, difference = Decimal(str(number)), role in DIFFERENCES
    if units.equal(unit, "%"):  # of the range, as rules take it
        known = [Decimal(str(end)) for end in ends if end is not None and math.isfinite(end)]
        if len(known) < len(ends):
            return None
        return float(units.part_of_range(exact, known[0], known[1], difference=difference))
    converted = units.convert(exact, unit, scale, difference=difference)
    return None if converted is None else float(converted)


def _end(shown: Shown, role: str, side: str) -> float | None:
    """Return an end of the range, as planned where it was not read."""
    sides: Iterator[str] = iter(dict.fromkeys((side, "planned")))
    numbers = (_number(shown[role], one) for one in sides if role in shown)
    return next((number for number in numbers if number is not None), None)


def _number(setting: SettingDetail, side: str) -> float | None:
    return setting.planned_number if side == "planned" else setting.found_number
