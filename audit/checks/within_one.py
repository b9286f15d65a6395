"""within-one: a count is not exactly one off the planned one, as if counting started at 0 instead of 1."""

from __future__ import annotations

from audit.checks.context import Context, hit
from audit.model.asked_of_values import Chosen, WithinOne
from audit.model.finding import Outcome


def run(context: Context, args: WithinOne) -> Outcome:
    """Return a hit for each device whose value is one above or one below the planned one."""
    looked_at, hits = 0, []
    for b, block, difference in context.compared(Chosen(roles=(args.role,))):
        setting = difference.setting
        looked_at += difference.compared
        for i in difference.differing:
            planned = block.value("planned", setting.name, i)
            found = block.value("found", setting.name, i)
            if planned.number is not None and found.number in (planned.number - 1, planned.number + 1):
                message = f"{setting.name} is {found.shown}, one off the planned {planned.shown}"
                hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)
