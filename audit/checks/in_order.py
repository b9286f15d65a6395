"""in-order: settings of one measuring input stand in rising order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise

from audit.checks.context import Context, hit
from audit.model.arguments import InOrder
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.value import BLANK, Value
from audit.reading import units


def run(context: Context, args: InOrder) -> Outcome:
    """Return a hit for each device where a setting is not above the one before it."""
    looked_at = 0
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, args.roles):
        for combination, indexes in combinations(block, side, settings).items():
            present = numbers(settings, combination)
            looked_at += len(indexes) if len(present) > 1 else 0
            wrong = [(low, high) for low, high in pairwise(present) if low[2] >= high[2]]
            if wrong:
                (low, low_shown, _), (high, high_shown, _) = wrong[0]
                message = f"{low.name} {low_shown} is not below {high.name} {high_shown}"
                concerned = {id(setting) for pair in wrong for setting, _, _ in pair}
                shown = [setting for setting in settings if id(setting) in concerned]
                hits.extend(hit(block, b, i, shown, message, side) for i in indexes)
    return Outcome(looked_at, hits)


def numbers(settings: Sequence[Setting], combination: Sequence[Value]) -> list[tuple[Setting, str, Decimal]]:
    """Return the settings of a combination that have a number: setting, text to show, number.

    The numbers are in the unit of the first setting; one that has no such number is left out.
    """
    found = []
    for setting, value in zip(settings, combination, strict=True):
        number = in_unit_of(settings[0], setting, value)
        if number is not None:
            found.append((setting, value.shown, number))
    return found


def in_unit_of(wanted: Setting, setting: Setting, value: Value) -> Decimal | None:
    """Return the number of a value in the unit of another setting, None where it has none."""
    if value.number is None or not (setting.unit and wanted.unit):
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


def combinations(block: Block, side: str, settings: Sequence[Setting]) -> dict[tuple[Value, ...], list[int]]:
    """Return each distinct combination of values of some settings, and the devices that have it."""
    columns = [block.column(side, setting.name) or [BLANK] * len(block) for setting in settings]
    found: dict[tuple[Value, ...], list[int]] = {}
    for i, combination in enumerate(zip(*columns, strict=True)):
        found.setdefault(combination, []).append(i)
    return found
