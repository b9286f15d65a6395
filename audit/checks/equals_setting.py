"""equals-setting: two settings of one device hold the same value, whatever their units."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import product

from audit.checks.context import Context, hit
from audit.checks.one_input import in_unit_of, pairs_of
from audit.model.asked_of_values import EqualsSetting
from audit.model.device import Setting
from audit.model.finding import Outcome
from audit.model.site import Block
from audit.model.value import Value


def run(context: Context, args: EqualsSetting) -> Outcome:
    """Return a hit for each device where a pair of roles holds different values."""
    looked_at, hits = 0, []
    for side, (b, block) in product(context.sides(), context.blocks()):
        for one, other in pairs_of(block.type.settings, args.pairs):
            for i, a, c in _both(block, side, one, other):
                looked_at += 1
                if difference(a, one, c, other) is not None:
                    message = f"{one.name} is {a.shown}, {other.name} is {c.shown}"
                    hits.append(hit(block, b, i, [one, other], message, side))
    return Outcome(looked_at, hits)


def _both(block: Block, side: str, one: Setting, other: Setting) -> Iterator[tuple[int, Value, Value]]:
    """Yield the devices on which one of two settings was read, with both values, blanks as planned."""
    sides = [block.values(of, s.name) for of in (side, "planned") for s in (one, other)]
    for i, (first, second, *planned) in enumerate(zip(*sides, strict=True)):
        a, c = first if first.read else planned[0], second if second.read else planned[1]
        if (first.read or second.read) and a.read and c.read:
            yield i, a, c


def difference(a: Value, one: Setting, c: Value, other: Setting) -> Decimal | None:
    """Return how far apart two values are, in the unit of the first, or None if they are the same.

    Values that have no common unit, or are not numbers, count as 1 apart if they are not equal.
    """
    if a.number is None or c.number is None:
        return None if a.content == c.content else Decimal(1)
    other_number = in_unit_of(one, other, c)
    if other_number is None:
        return Decimal(1)
    gap = a.number - other_number
    step = max(_step(one, one), _step(one, other))
    within = abs(gap) < step if step else gap == 0
    return None if within else gap


def _step(wanted: Setting, setting: Setting) -> Decimal:
    """Return the display step of a setting in the unit of another."""
    ends = [in_unit_of(wanted, setting, Value(Decimal(str(end)))) for end in (setting.step or 0, 0)]
    return abs(ends[0] - ends[1]) if ends[0] is not None and ends[1] is not None else Decimal(0)
