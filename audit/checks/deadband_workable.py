"""deadband-workable: above zero, and each alarm can clear before its neighbour comes on.

A high alarm clears at setpoint − deadband, a low one at setpoint + deadband (semantics of OPC
10000-9, 5.8.2). Where the deadband is as wide as the gap between two setpoints, one alarm cannot
clear until the other comes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from audit.checks.context import Context, hit
from audit.checks.in_order import combinations, groups, numbers
from audit.model.arguments import DeadbandWorkable
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.value import Value


def run(context: Context, args: DeadbandWorkable) -> Outcome:
    """Return a hit for each device whose deadband is zero, negative or too wide."""
    looked_at = 0
    hits: list[Hit] = []
    for b, block, side, settings in groups(context, (args.deadband, *args.roles)):
        if settings[0].role != args.deadband:
            continue
        for combination, indexes in combinations(block, side, settings).items():
            looked_at += len(indexes) if combination[0].read else 0
            message = _wrong(settings, combination)
            if message:
                hits.extend(hit(block, b, i, settings, message, side) for i in indexes)
    return Outcome(looked_at, hits)


def _wrong(settings: Sequence[Setting], combination: Sequence[Value]) -> str:
    """Return what is wrong with a deadband among its setpoints, or nothing."""
    name, band, shown = settings[0].name, combination[0].number, combination[0].shown
    setpoints = [found for found in numbers(settings, combination) if found[0] is not settings[0]]
    if band is None or not setpoints:
        return ""
    if band <= 0:
        return f"{name} is {shown}: the alarm chatters at its setpoint"
    for (low, low_shown, a), (high, high_shown, z) in pairwise(setpoints):
        if 0 < z - a <= band:
            gap = f"{low.name} {low_shown} and {high.name} {high_shown}"
            return f"{name} {shown} is as wide as the gap between {gap}"
    return ""
