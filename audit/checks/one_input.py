"""Settings of one measuring input: side by side, and as numbers in one unit.

A setpoint or deadband in % is a percentage of its range, if that is in another unit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from audit.checks.context import Context, count_read
from audit.model.device import Setting
from audit.model.roles import DIFFERENCES, RANGE_ENDS, SETPOINTS
from audit.model.site import Block
from audit.model.value import Value, Values, blanks
from audit.reading import units

Numbered = tuple[Setting, str, Decimal]
"""A setting, its value as reports show it, and its number."""


def numbers(
    settings: Sequence[Setting], values: Sequence[Value], ends: Sequence[Setting] = ()
) -> list[Numbered]:
    """Return the settings that have a number, in the unit of the first setting.

    A setting whose number cannot be given in that unit is left out. With `ends`, those of the range of which
    some settings are percentages, their two values follow the others, and all numbers are in their unit.
    """
    wanted = ends[0] if ends else settings[0]
    low, high = (
        in_unit_of(wanted, end, value) for end, value in zip(ends, values[len(settings) :], strict=True)
    ) if ends else (None, None)  # fmt: skip
    if ends and (low is None or high is None):  # percentages can still be compared with each other
        return numbers(settings, values)
    found = []
    for setting, value in zip(settings, values, strict=False):
        number = (
            in_unit_of(wanted, setting, value)
            if value.number is None or low is None or high is None or not of_range(setting, wanted)
            else units.part_of_range(value.number, low, high, difference=setting.role in DIFFERENCES)
        )  # fmt: skip
        if number is not None:
            found.append((setting, value.shown, number))
    return found


def of_range(setting: Setting, end: Setting) -> bool:
    """Tell whether a setting is a percentage of the range with this end; no other limits are a range."""
    percents = [units.equal(one.unit, "%") for one in (setting, end)]
    ranged = setting.role in ("deadband", *SETPOINTS) and end.role in RANGE_ENDS
    return bool(end.unit) and percents == [True, False] and ranged


def range_ends(block: Block, settings: Sequence[Setting]) -> list[Setting]:
    """Return the ends of the range of which some of these settings are percentages; none if none is."""
    ends = [
        s for role in RANGE_ENDS for s in block.settings(role)
        if s.input == settings[0].input
    ]  # fmt: skip
    return ends if len(ends) == 2 and any(of_range(setting, ends[0]) for setting in settings) else []


def one_unit(settings: Sequence[Setting]) -> bool:
    """Tell whether all settings are in one unit, as is usual; then nothing has to be converted."""
    return all(setting.unit == settings[0].unit for setting in settings)


def in_unit_of(wanted: Setting, setting: Setting, value: Value) -> Decimal | None:
    """Return the number of a value in the unit of another setting, or None if it has none."""
    if value.number is None or setting.unit == wanted.unit or not (setting.unit and wanted.unit):
        return value.number
    return units.convert(value.number, setting.unit, wanted.unit)


def groups(context: Context, roles: Sequence[str]) -> Iterator[tuple[int, Block, str, list[Setting]]]:
    """Yield the settings with these roles, for each side, block and measuring input that has two or more."""
    for side in context.sides():
        for b, block in context.blocks():
            for settings in by_input(block, roles):
                yield b, block, side, settings


def by_input(block: Block, roles: Sequence[str]) -> Iterator[list[Setting]]:
    """Yield, for each measuring input, its settings with these roles, in the roles' order."""
    inputs = dict.fromkeys(setting.input for setting in block.type.settings)
    for name in inputs:
        settings = [s for role in roles for s in block.settings(role) if s.input == name]
        if len(settings) > 1:
            yield settings


def side_by_side(block: Block, side: str, settings: Sequence[Setting]) -> list[Values]:
    """Return the columns of some settings, blank for those that have none."""
    return [block.values(side, setting.name) for setting in settings]


def side_or_plan(block: Block, side: str, setting: Setting) -> Values:
    """Return a setting's values on a side, with the planned value for each one that was not read."""
    planned = block.column("planned", setting.name)
    found = block.column(side, setting.name)
    if found is None or planned is None:
        return found or planned or blanks(len(block))
    if count_read(found) == len(found):
        return found
    return Values(value if value.read else other for value, other in zip(found, planned, strict=True))


def pairs_of(
    settings: tuple[Setting, ...], roles: tuple[tuple[str, str], ...]
) -> list[tuple[Setting, Setting]]:
    """Return the settings of each pair of roles that belong to the same measuring input."""
    return [
        (one, other)
        for first, second in roles
        for one in settings if one.role == first
        for other in settings if other.role == second and other.input == one.input
    ]  # fmt: skip
