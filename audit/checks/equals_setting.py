"""equals-setting: two settings of one device hold the same value, whatever their units."""

from __future__ import annotations

from decimal import Decimal

from audit.checks.context import Context, hit
from audit.model.arguments import EqualsSetting
from audit.model.device import Setting
from audit.model.finding import Outcome
from audit.model.value import Value
from audit.reading import units


def run(context: Context, args: EqualsSetting) -> Outcome:
    """Return a hit for each device where a pair of roles holds different values."""
    looked_at, hits = 0, []
    for side in context.sides():
        for b, block in context.blocks():
            for one, other in pairs_of(block.type.settings, args.pairs):
                first, second = block.column(side, one.name), block.column(side, other.name)
                if first is None:
                    first = block.column("planned", one.name)
                if second is None:
                    second = block.column("planned", other.name)
                if first is None or second is None:
                    continue
                for i, (a, c) in enumerate(zip(first, second, strict=True)):
                    if not (a.read and c.read):
                        continue
                    looked_at += 1
                    gap = difference(a, one, c, other)
                    if gap is None:
                        continue
                    message = f"{one.name} is {a.shown}, {other.name} is {c.shown}"
                    hits.append(hit(block, b, i, [one, other], message, side))
    return Outcome(looked_at, hits)


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


def difference(a: Value, one: Setting, c: Value, other: Setting) -> Decimal | None:
    """Return how far apart two values are, in the unit of the first, or None if they are the same.

    Values that have no common unit, or are no numbers, are 1 apart where they are not equal.
    """
    if a.number is None or c.number is None:
        return None if a.content == c.content else Decimal(1)
    converted = c.number
    if one.unit and other.unit and not units.equal(one.unit, other.unit):
        found = units.convert(converted, other.unit, one.unit)
        if found is None:
            return Decimal(1)
        converted = found
    gap = a.number - converted
    step = Decimal(str(max(one.step or 0, other.step or 0)))
    within = abs(gap) < step if step else gap == 0
    return None if within else gap
