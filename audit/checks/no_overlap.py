"""no-overlap: blocks of registers, or of anything counted, do not overlap."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal

from audit.checks.context import Context, hit
from audit.model.asked_of_values import NoOverlap
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block

Span = tuple[int, int, int, int, Setting]
"""First place, place after the last, block, index, and the setting of the first place."""


def run(context: Context, args: NoOverlap) -> Outcome:
    """Return a hit for each device whose span begins before one that began earlier has ended."""
    hits = []
    spans = _spans(context, args)
    for (side, _), group in spans.items():
        group.sort(key=lambda span: span[:4])
        reach = group[0]
        for span in group[1:]:
            if span[0] < reach[1]:
                hits.append(_hit(context, side, span, reach))
            if span[1] > reach[1]:
                reach = span
    return Outcome(sum(map(len, spans.values())), hits)


def _spans(context: Context, args: NoOverlap) -> dict[tuple[str, object], list[Span]]:
    """Return side and what may have only one device at a place → the spans there."""
    spans: dict[tuple[str, object], list[Span]] = defaultdict(list)
    for b, block, side, setting, column in context.columns([args.start]):
        counts = next((s for s in block.settings(args.count) if s.input == setting.input), None)
        holders = block.first_setting(args.same) if args.same else None
        for i, value in enumerate(column):
            count = _either(block, counts, side, i)
            if value.number is not None:
                length = int(count) if isinstance(count, (int, Decimal)) else 1
                start = int(value.number)
                holder = _either(block, holders, side, i)
                spans[side, holder].append((start, start + length, b, i, setting))
    return spans


def _either(block: Block, setting: Setting | None, side: str, i: int) -> object:
    """Return the content of a setting on one side, or as planned if that side is blank."""
    if setting is None:
        return None
    value = block.value(side, setting.name, i)
    return value.content if value.read else block.value("planned", setting.name, i).content


def _hit(context: Context, side: str, span: Span, reach: Span) -> Hit:
    start, end, b, i, setting = span
    other_start, other_end, other_b, j, other_setting = reach
    block, other = context.site.blocks[b], context.site.blocks[other_b]
    message = (
        f"{setting.name} {_words(start, end)} overlaps {_words(other_start, other_end)} of {other.tags[j]}"
    )
    place = other.place(side, other_setting.name, j)
    return hit(block, b, i, [setting], message, side, [other.tags[j]], [place])


def _words(start: int, end: int) -> str:
    """Return the places from `start` up to, not including, `end` in words: a single one as one number."""
    return f"{start} to {end - 1}" if end - start > 1 else str(start)
