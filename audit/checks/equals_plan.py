"""equals-plan: the value found is the planned one."""

from __future__ import annotations

from collections.abc import Iterator

from audit.checks.context import Context, hit
from audit.checks.one_of import approved
from audit.columns import where
from audit.model.asked_of_values import EqualsPlan
from audit.model.finding import Gap, Outcome
from audit.model.roles import NEVER_PLANNED_ROLES
from audit.model.value import BLANK
from audit.pairing.stating import numbers_as_planned


def run(context: Context, args: EqualsPlan) -> Outcome:
    """Return a hit for each device whose value was read and is not the planned one."""
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
                message += f"; its {count} numbers are the planned ones, converted to {found}"
            hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits, tuple(_lacking(context, args)))


def _lacking(context: Context, args: EqualsPlan) -> Iterator[Gap]:
    """Yield the settings that were read but are not planned: they were compared with nothing."""
    tags: dict[str, list[str]] = {}
    for b, block in context.blocks():
        for setting in block.type.settings:
            found, compared = block.found.get(setting.name), context.differences.get((b, setting.name))
            if found is None or (compared and compared.planned == len(block)) or setting.kind == "secret":
                continue
            if not args.chooses(setting.role, setting.name) or setting.role in NEVER_PLANNED_ROLES:
                continue
            if not approved(context, block, setting):
                columns = block.values("planned", setting.name), found
                only_read = where(columns, lambda planned, found: planned is BLANK and found.read)
                tags.setdefault(setting.name, []).extend(block.tags[i] for i in only_read)
    for name, its in tags.items():
        if its:
            yield Gap(f"a planned {name}", len(its), tuple(its))
