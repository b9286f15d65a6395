"""smallest-span: a range is at least as wide as the sensor's smallest span."""

from __future__ import annotations

from decimal import Decimal

from audit.checks.context import Context, count_all_read, hit
from audit.checks.in_order import groups, side_by_side
from audit.columns import where
from audit.model.arguments import SmallestSpan
from audit.model.finding import Hit, Outcome
from audit.model.value import Value
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
        columns = side_by_side(block, side, settings)
        looked_at += count_all_read(columns)

        def narrow(low: Value, high: Value, least: Decimal = least) -> bool:
            return (
                low.number is not None and high.number is not None and abs(high.number - low.number) < least
            )

        for i in where(columns, narrow):
            low, high = (column[i].number or Decimal(0) for column in columns)
            unit = settings[0].unit
            span = plain(abs(high - low))
            message = f"the span {span} is below the sensor's smallest, {plain(least)} {unit}".rstrip()
            hits.append(hit(block, b, i, settings, message, side))
    return Outcome(looked_at, hits)
