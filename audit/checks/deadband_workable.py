"""deadband-workable: it is above zero, and each alarm can clear before the next one comes on.

A high alarm clears at setpoint − deadband, a low one at setpoint + deadband (semantics of OPC
10000-9, 5.8.2). Where the deadband is as wide as the gap between two setpoints, one alarm cannot
clear until the other comes on. Where it reaches beyond the range, the alarm cannot clear at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from itertools import pairwise
from operator import gt, le, sub

from audit.checks.context import Context, count_read, hit
from audit.checks.one_input import groups, numbers, one_unit, range_ends, side_by_side, side_or_plan
from audit.columns import where, where_numbers
from audit.model.asked_of_values import DeadbandWorkable
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.roles import HIGH_SETPOINTS
from audit.model.value import Value


def run(context: Context, args: DeadbandWorkable) -> Outcome:
    """Return a hit for each device whose deadband is zero, negative or too wide.

    One that leaves no room within the range is reported unless it does not fit between setpoints either.
    """
    looked_at = 0
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, (args.deadband, *args.roles)):
        if settings[0].role != args.deadband:
            continue
        columns = side_by_side(block, side, settings)
        looked_at += count_read(columns[0])

        alike = one_unit(settings)
        ends = [] if alike else range_ends(block, settings)
        columns += [side_or_plan(block, side, end) for end in ends]

        def wrong(*values: Value, settings: list[Setting] = settings, alike: bool = alike,
                  ends: list[Setting] = ends) -> bool:  # fmt: skip
            if alike:
                return _unworkable([value.number for value in values])
            return bool(_wrong(settings, values, ends))

        for i in where_numbers(columns, _too_near, wrong) if alike else where(columns, wrong):
            message = _wrong(settings, [column[i] for column in columns], ends)
            number = columns[0][i].number
            shown = [*settings, *(ends if number and number > 0 else ())]
            none = number == 0  # even if it is below the display step, and counts as planned
            hits.append(replace(hit(block, b, i, shown, message, side), exact=none))
    told = {(one.side, one.order, one.settings[0]) for one in hits}
    hits += [
        one for one in _beyond_range(context, args)
        if (one.side, one.order, one.settings[0]) not in told
    ]  # fmt: skip
    return Outcome(looked_at, hits)


def _beyond_range(context: Context, args: DeadbandWorkable) -> Iterator[Hit]:
    """Yield a hit for each alarm that clears only beyond the range in which it is raised."""
    for role in args.roles if args.between else ():
        high = role in HIGH_SETPOINTS
        end = (args.between or ())[0 if high else 1]
        for b, block, side, settings in groups(context, (args.deadband, role, end)):
            if len(settings) < len((args.deadband, role, end)):
                continue

            ends = range_ends(block, settings)

            def wrong(*values: Value, settings: list[Setting] = settings, high: bool = high,
                      ends: list[Setting] = ends) -> bool:  # fmt: skip
                found = [number for _, _, number in numbers(settings, values, ends)]
                return len(found) == len(settings) and _has_no_room(*found, high=high)

            columns = side_by_side(block, side, settings)
            columns += [side_or_plan(block, side, end) for end in ends]
            suspect = partial(_wider_than_room, high=high)
            for i in where_numbers(columns, suspect, wrong) if one_unit(settings) else where(columns, wrong):
                band, alarm, limit = (
                    f"{s.name} {c[i].shown}" for s, c in zip(settings, columns, strict=False)
                )
                message = (
                    f"{band} is wider than the room between {limit} and {alarm}, so the alarm never clears"
                )
                yield hit(block, b, i, [*settings, *(e for e in ends if e not in settings)], message, side)


def _has_no_room(band: Decimal, setpoint: Decimal, end: Decimal, *, high: bool) -> bool:
    """Tell whether a deadband is wider than the room from a setpoint within the range to its end."""
    return 0 <= (setpoint - end if high else end - setpoint) < band


def _wider_than_room(columns: Sequence[list[Decimal]], *, high: bool) -> list[Iterator[bool]]:
    """Return where the first column, the deadband, is wider than the room between the other two."""
    band, setpoints, ends = columns
    return [map(gt, band, map(sub, setpoints, ends) if high else map(sub, ends, setpoints))]


def _too_near(columns: Sequence[list[Decimal]]) -> list[Iterator[bool]]:
    """Return where the deadband, the first column, is not above zero or not narrower than a gap."""
    band = columns[0]
    gaps = [map(sub, high, low) for low, high in pairwise(columns[1:])]
    return [map(Decimal(0).__ge__, band), *(map(le, gap, band) for gap in gaps)]


def _unworkable(numbers: list[Decimal | None]) -> bool:
    """Tell whether a deadband, the first number, does not work with the setpoints that follow it."""
    band = numbers[0]
    setpoints = [number for number in numbers[1:] if number is not None]
    if band is None or not setpoints:
        return False
    return band <= 0 or any(0 < high - low <= band for low, high in pairwise(setpoints))


def _wrong(settings: Sequence[Setting], values: Sequence[Value], ends: Sequence[Setting]) -> str:
    """Return what is wrong with a deadband and its setpoints, empty if nothing is."""
    name, number, shown = settings[0].name, values[0].number, values[0].shown
    if number is None or not any(value.number is not None for value in values[1 : len(settings)]):
        return ""
    if number <= 0:
        return f"{name} is {shown}: the alarm chatters at its setpoint"
    found = numbers(settings, values, ends)
    bands = [band for setting, _, band in found if setting is settings[0]]
    for (low, low_shown, a), (high, high_shown, z) in pairwise(found[len(bands) :]):
        if bands and 0 < z - a <= bands[0]:
            gap = f"{low.name} {low_shown} and {high.name} {high_shown}"
            return f"{name} {shown} is at least as wide as the gap between {gap}"
    return ""
