"""smallest-span: a range is at least as wide as the sensor's smallest span, and never without width."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from audit.checks.context import Context, count_all_read, hit
from audit.checks.one_input import groups, numbers, side_by_side
from audit.columns import where
from audit.model.asked_of_values import SmallestSpan
from audit.model.device import Setting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.value import Value
from audit.reading import units
from audit.reading.values import in_short, plain


def run(context: Context, args: SmallestSpan) -> Outcome:
    """Return a hit for each device whose range is narrower than its sensor's smallest span, or has none.

    Where the smallest span is not known, only the devices with a hit count as looked at.
    """
    looked_at = 0
    without: dict[int, int] = {}
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, (args.low, args.high)):
        sensor = block.type.sensors.get(settings[0].input)
        least = Decimal(str(sensor.smallest_span)) if sensor and sensor.smallest_span is not None else None
        columns = side_by_side(block, side, settings)

        def narrow(
            *ends: Value, settings: Sequence[Setting] = settings, least: Decimal | None = least
        ) -> bool:
            span = _span(settings, ends)
            return span == 0 or (least is not None and 0 < span < least)

        rows = where(columns, narrow)
        looked_at += len(rows) if least is None else count_all_read(columns)
        if least is None:
            without[b] = max(count_all_read(columns), without.get(b, 0))
        for i in rows:
            message = _told(_span(settings, [column[i] for column in columns]), least, settings)
            hits.append(hit(block, b, i, settings, message, side))
    lacking = Gap("the `smallest_span` of a sensor in the device type", sum(without.values()))
    return Outcome(looked_at, hits, (lacking,) if lacking.number else ())


def _told(span: Decimal, least: Decimal | None, settings: Sequence[Setting]) -> str:
    """Return what is wrong with a span, in the unit of the range."""
    if least is None:
        return f"{settings[0].name} and {settings[1].name} are the same, so the range has no width"
    unit = f" {settings[0].unit}" if settings[0].unit else ""
    return f"the span {in_short(span)}{unit} is below the sensor's smallest span, {plain(least)}{unit}"


def _span(settings: Sequence[Setting], ends: Sequence[Value]) -> Decimal:
    """Return how far apart two ends can be, in the unit of the first; -1 if one is not known."""
    found = [number for _, _, number in numbers(settings, ends)]
    if len(found) != 2 or ends[0].unit != ends[1].unit:
        return Decimal(-1)
    span = abs(found[1] - found[0])
    if ends[0].unit:  # the device was found in another unit, and may have converted its numbers or not
        converted = units.convert(span, ends[0].unit, settings[0].unit, difference=True)
        return Decimal(-1) if converted is None else max(span, converted)
    return span
