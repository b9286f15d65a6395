"""Settings of one measuring input: side by side, and as numbers in one unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from audit.checks.context import Context
from audit.model.device import Setting
from audit.model.site import Block
from audit.model.value import Value, Values
from audit.reading import units

Numbered = tuple[Setting, str, Decimal]
"""A setting, its value as reports show it, and its number."""


def numbers(settings: Sequence[Setting], values: Sequence[Value]) -> list[Numbered]:
    """Return the settings that have a number, in the unit of the first setting.

    A setting whose number cannot be given in that unit is left out.
    """
    found = []
    for setting, value in zip(settings, values, strict=True):
        number = in_unit_of(settings[0], setting, value)
        if number is not None:
            found.append((setting, value.shown, number))
    return found


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
