"""equals-plan: the value found is the planned one."""

from __future__ import annotations

from audit.checks.context import Context, hit
from audit.model.asked_of_values import EqualsPlan
from audit.model.finding import Outcome
from audit.pairing.stating import numbers_as_planned


def run(context: Context, args: EqualsPlan) -> Outcome:
    """Return a hit for each device whose value is read and is not the planned one."""
    looked_at, hits = 0, []
    for b, block, difference in context.compared(args):
        setting = difference.setting
        looked_at += difference.compared
        for i in difference.differing:
            planned = block.value("planned", setting.name, i).shown
            found = block.value("found", setting.name, i).shown
            message = f"{setting.name} is {found}, planned {planned}"
            count = numbers_as_planned(block, setting, i) if setting.role == "unit" else 0
            if count > 1:
                message += f"; its {count} numbers are the planned ones in {found}"
            hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)
