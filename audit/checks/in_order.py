"""in-order: settings of one measuring input stand in rising order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from audit.checks.context import Context, hit, said_on_plan
from audit.model.arguments import InOrder
from audit.model.device import Setting
from audit.model.finding import Outcome
from audit.model.site import Block
from audit.model.value import BLANK, Value


def run(context: Context, args: InOrder) -> Outcome:
    """Return a hit for each device where a setting is not above the one before it."""
    looked_at, hits = 0, []
    for side in context.sides():
        for b, block in context.blocks():
            for settings in by_input(block, args.roles):
                names = [setting.name for setting in settings]
                for combination, indexes in combinations(block, side, settings).items():
                    present = [(s, v) for s, v in zip(settings, combination, strict=True)
                               if isinstance(v.content, (int, Decimal))]  # fmt: skip
                    if len(present) < 2:
                        continue
                    looked_at += len(indexes)
                    wrong = [(a, z) for a, z in zip(present, present[1:], strict=False) if a[1].content >= z[1].content]  # type: ignore[operator]
                    if not wrong:
                        continue
                    (low, low_value), (high, high_value) = wrong[0]
                    message = f"{low.name} {low_value.shown} is not below {high.name} {high_value.shown}"
                    concerned = list(dict.fromkeys(s.name for pair in wrong for s, _ in pair))
                    shown = [s for s in settings if s.name in concerned]
                    hits.extend(
                        hit(block, b, i, shown, message, side)
                        for i in indexes if not said_on_plan(context, block, side, names, i)
                    )  # fmt: skip
    return Outcome(looked_at, hits)


def by_input(block: Block, roles: Sequence[str]) -> Iterator[list[Setting]]:
    """Yield, for each measuring input, its settings with these roles, in the roles' order."""
    inputs = dict.fromkeys(setting.input for setting in block.type.settings)
    for name in inputs:
        settings = [s for role in roles for s in block.settings(role) if s.input == name]
        if len(settings) > 1:
            yield settings


def combinations(
    block: Block, side: str, settings: Sequence[Setting]
) -> dict[tuple[Value, ...], list[int]]:
    """Return each distinct combination of values of some settings, and the devices that have it."""
    columns = [block.column(side, setting.name) or [BLANK] * len(block) for setting in settings]
    found: dict[tuple[Value, ...], list[int]] = {}
    for i, combination in enumerate(zip(*columns, strict=True)):
        found.setdefault(combination, []).append(i)
    return found
