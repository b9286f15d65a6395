"""in-order: settings of one measuring input stand in rising order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise
from operator import ge

from audit.checks.context import Context, count_all_read, hit
from audit.columns import where, where_numbers
from audit.model.asked_of_values import InOrder
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.value import Value, Values
from audit.reading import units


def run(context: Context, args: InOrder) -> Outcome:
    """Return a hit for each device where a setting is not above the one before it."""
    looked_at = 0
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, args.roles):
        columns = side_by_side(block, side, settings)
        all_read = count_all_read(columns) == len(block)
        looked_at += len(block) if all_read else len(where(columns, _several))

        alike = one_unit(settings)

        def wrong(*values: Value, settings: list[Setting] = settings, alike: bool = alike) -> bool:
            if alike:
                present = [value.number for value in values if value.number is not None]
                return any(low >= high for low, high in pairwise(present))
            return bool(_falling(settings, values))

        for i in where_numbers(columns, _not_rising, wrong) if alike else where(columns, wrong):
            falling = _falling(settings, [column[i] for column in columns])
            (low, low_shown, _), (high, high_shown, _) = falling[0]
            message = f"{low.name} {low_shown} is not below {high.name} {high_shown}"
            concerned = {id(setting) for pair in falling for setting, _, _ in pair}
            shown = [setting for setting in settings if id(setting) in concerned]
            hits.append(hit(block, b, i, shown, message, side))
    return Outcome(looked_at, hits)


def _not_rising(columns: Sequence[list[Decimal]]) -> list[Iterator[bool]]:
    """Return, for each two neighbouring columns, where the second is not above the first."""
    return [map(ge, low, high) for low, high in pairwise(columns)]


def _several(*values: Value) -> bool:
    return sum(value.read for value in values) > 1


Numbered = tuple[Setting, str, Decimal]
"""A setting, its value as reports write it, and its number."""


def _falling(settings: Sequence[Setting], values: Sequence[Value]) -> list[tuple[Numbered, Numbered]]:
    """Return the neighbours of which the second is not above the first."""
    return [(low, high) for low, high in pairwise(numbers(settings, values)) if low[2] >= high[2]]


def numbers(settings: Sequence[Setting], values: Sequence[Value]) -> list[Numbered]:
    """Return the settings that have a number among some values.

    The numbers are in the unit of the first setting; one that has no such number is left out.
    """
    found = []
    for setting, value in zip(settings, values, strict=True):
        number = in_unit_of(settings[0], setting, value)
        if number is not None:
            found.append((setting, value.shown, number))
    return found


def one_unit(settings: Sequence[Setting]) -> bool:
    """Tell whether all settings are in one unit, as they mostly are: nothing has to be converted then."""
    return all(setting.unit == settings[0].unit for setting in settings)


def in_unit_of(wanted: Setting, setting: Setting, value: Value) -> Decimal | None:
    """Return the number of a value in the unit of another setting, None where it has none."""
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
    """Return the columns of some settings, blank where there is none."""
    return [block.values(side, setting.name) for setting in settings]
