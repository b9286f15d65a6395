"""in-order: settings of one measuring input are in rising order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise
from operator import ge

from audit.checks.context import Context, count_all_read, hit
from audit.checks.one_input import (
    Numbered,
    groups,
    numbers,
    of_range,
    one_unit,
    range_ends,
    side_by_side,
    side_or_plan,
)
from audit.columns import where, where_numbers
from audit.model.asked_of_values import InOrder
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.value import Value


def run(context: Context, args: InOrder) -> Outcome:
    """Return a hit for each device where a setting is not above the one before it."""
    looked_at = 0
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, args.roles):
        columns = side_by_side(block, side, settings)
        all_read = count_all_read(columns) == len(block)
        looked_at += len(block) if all_read else len(where(columns, _several))

        alike = one_unit(settings)
        ends = [] if alike else range_ends(block, settings)
        columns += [side_or_plan(block, side, end) for end in ends]

        def wrong(*values: Value, settings: list[Setting] = settings, alike: bool = alike,
                  ends: list[Setting] = ends) -> bool:  # fmt: skip
            if alike:
                present = [value.number for value in values if value.number is not None]
                return any(low >= high for low, high in pairwise(present))
            return bool(_falling(settings, values, ends))

        for i in where_numbers(columns, _not_rising, wrong) if alike else where(columns, wrong):
            falling = _falling(settings, [column[i] for column in columns], ends)
            message = ", ".join(
                f"{low.name} {low_shown} is not below {high.name} {high_shown}"
                for (low, low_shown, _), (high, high_shown, _) in falling
            )
            concerned = {id(setting) for pair in falling for setting, _, _ in pair}
            shown = [setting for setting in settings if id(setting) in concerned]
            if any(of_range(setting, end) for setting in shown for end in ends):
                shown += [end for end in ends if end not in shown]
            hits.append(hit(block, b, i, shown, message, side))
    return Outcome(looked_at, hits)


def _not_rising(columns: Sequence[list[Decimal]]) -> list[Iterator[bool]]:
    """Return, for each pair of neighbouring columns, where the second is not above the first."""
    return [map(ge, low, high) for low, high in pairwise(columns)]


def _several(*values: Value) -> bool:
    return sum(value.read for value in values) > 1


def _falling(
    settings: Sequence[Setting], values: Sequence[Value], ends: Sequence[Setting]
) -> list[tuple[Numbered, Numbered]]:
    """Return the pairs of neighbours of which the second is not above the first."""
    return [(low, high) for low, high in pairwise(numbers(settings, values, ends)) if low[2] >= high[2]]
