"""deadband-workable: above zero, and each alarm can clear before its neighbour comes on.

A high alarm clears at setpoint − deadband, a low one at setpoint + deadband (semantics of OPC
10000-9, 5.8.2). Where the deadband is as wide as the gap between two setpoints, one alarm cannot
clear until the other comes on.
"""

from __future__ import annotations

from decimal import Decimal

from audit.checks.context import Context, hit, said_on_plan
from audit.checks.in_order import by_input, combinations
from audit.model.arguments import DeadbandWorkable
from audit.model.finding import Outcome
from audit.model.value import Value


def run(context: Context, args: DeadbandWorkable) -> Outcome:
    """Return a hit for each device whose deadband is zero, negative or too wide."""
    looked_at, hits = 0, []
    for side in context.sides():
        for b, block in context.blocks():
            for settings in by_input(block, (args.deadband, *args.roles)):
                if settings[0].role != args.deadband:
                    continue
                names = [setting.name for setting in settings]
                for combination, indexes in combinations(block, side, settings).items():
                    band = combination[0].content
                    if not isinstance(band, (int, Decimal)):
                        continue
                    looked_at += len(indexes)
                    message = _wrong(Decimal(band), combination, names)
                    if message:
                        hits.extend(
                            hit(block, b, i, settings, message, side)
                            for i in indexes if not said_on_plan(context, block, side, names, i)
                        )  # fmt: skip
    return Outcome(looked_at, hits)


def _wrong(band: Decimal, combination: tuple[Value, ...], names: list[str]) -> str:
    shown = combination[0].shown
    present = [(name, value) for name, value in zip(names[1:], combination[1:], strict=True)
               if isinstance(value.content, (int, Decimal))]  # fmt: skip
    if not present:
        return ""
    if band <= 0:
        return f"{names[0]} is {shown}: the alarm chatters at its setpoint"
    for (low, a), (high, z) in zip(present, present[1:], strict=False):
        gap = Decimal(z.content) - Decimal(a.content)  # type: ignore[arg-type]
        if 0 < gap <= band:
            return f"{names[0]} {shown} is as wide as the gap between {low} {a.shown} and {high} {z.shown}"
    return ""
