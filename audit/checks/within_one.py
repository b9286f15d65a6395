"""within-one: a count that is exactly one beside the planned one, as where counting starts at 0 or 1."""

from __future__ import annotations

from audit.checks.context import Context, hit
from audit.model.arguments import WithinOne
from audit.model.finding import Outcome


def run(context: Context, args: WithinOne) -> Outcome:
    """Return a hit for each device whose value is one above or one below the planned one."""
    looked_at, hits = 0, []
    for b, block in context.blocks():
        for setting in block.settings(args.role):
            difference = context.differences.get((b, setting.name))
            if difference is None:
                continue
            looked_at += difference.verified + len(difference.differing)
            for i in difference.differing:
                planned = block.value("planned", setting.name, i)
                found = block.value("found", setting.name, i)
                if planned.number is not None and abs((found.number or 0) - planned.number) == 1:
                    message = f"{setting.name} is {found.shown}, one beside the planned {planned.shown}"
                    hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)
