"""smallest-span: a range is at least as wide as the sensor's smallest span."""

from __future__ import annotations

from decimal import Decimal

from audit.checks.context import Context, hit, said_on_plan
from audit.checks.in_order import by_input, combinations
from audit.model.arguments import SmallestSpan
from audit.model.finding import Outcome
from audit.reading.values import plain


def run(context: Context, args: SmallestSpan) -> Outcome:
    """Return a hit for each device whose range is narrower than its sensor can resolve."""
    looked_at, hits = 0, []
    for side in context.sides():
        for b, block in context.blocks():
            for settings in by_input(block, (args.low, args.high)):
                sensor = block.type.sensors.get(settings[0].input)
                if sensor is None or sensor.smallest_span is None:
                    continue
                least = Decimal(str(sensor.smallest_span))
                names = [setting.name for setting in settings]
                for (low, high), indexes in combinations(block, side, settings).items():
                    if not (isinstance(low.content, (int, Decimal)) and isinstance(high.content, (int, Decimal))):
                        continue
                    looked_at += len(indexes)
                    span = abs(Decimal(high.content) - Decimal(low.content))
                    if span >= least:
                        continue
                    message = f"the span {plain(span)} is below the sensor's smallest, {plain(least)} {settings[0].unit}"
                    hits.extend(
                        hit(block, b, i, settings, message, side)
                        for i in indexes if not said_on_plan(context, block, side, names, i)
                    )  # fmt: skip
    return Outcome(looked_at, hits)
