"""smallest-span: a range is at least as wide as the sensor's smallest span."""

from __future__ import annotations

from decimal import Decimal

from audit.checks.context import Context, hit
from audit.checks.in_order import combinations, groups
from audit.model.arguments import SmallestSpan
from audit.model.finding import Hit, Outcome
from audit.reading.values import plain


def run(context: Context, args: SmallestSpan) -> Outcome:
    """Return a hit for each device whose range is narrower than its sensor can resolve."""
    looked_at = 0
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, (args.low, args.high)):
        sensor = block.type.sensors.get(settings[0].input)
        if sensor is None or sensor.smallest_span is None:
            continue
        least = Decimal(str(sensor.smallest_span))
        for (low, high), indexes in combinations(block, side, settings).items():
            if low.number is None or high.number is None:
                continue
            looked_at += len(indexes)
            span = abs(high.number - low.number)
            if span < least:
                unit = settings[0].unit
                message = (
                    f"the span {plain(span)} is below the sensor's smallest, {plain(least)} {unit}".rstrip()
                )
                hits.extend(hit(block, b, i, settings, message, side) for i in indexes)
    return Outcome(looked_at, hits)
