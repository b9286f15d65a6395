"""one-of: a value is on a list: the rule's own, or the plan's list of what is approved."""

from __future__ import annotations

from audit.checks.context import Context, count_read, hit
from audit.columns import where
from audit.model.asked_of_values import OneOf
from audit.model.base import Scalar
from audit.model.device import Setting
from audit.model.finding import Gap, Outcome
from audit.model.site import Block
from audit.model.table import Style
from audit.model.value import Content, Value
from audit.reading.approved import word
from audit.reading.values import parse


def run(context: Context, args: OneOf) -> Outcome:
    """Return a hit for each device whose value is not on the list; without a list nothing is looked at."""
    looked_at, hits = 0, []
    for b, block, side, setting, column in context.chosen(args):
        listed = args.values or approved(context, block, setting)
        if not listed or setting.kind == "secret":  # a message would show the list of allowed codes
            continue
        looked_at += count_read(column)
        allowed = {parse(word(value), setting, Style()).content for value in listed}

        def off(value: Value, allowed: set[Content] = allowed) -> bool:
            return value.read and value.content not in allowed

        words = ", ".join(map(word, listed))
        for i in where((column,), off):
            message = f"{setting.name} is {column[i].shown}; allowed: {words}"
            hits.append(hit(block, b, i, [setting], message, side))
    return Outcome(looked_at, hits, _gaps(context, args))


def _gaps(context: Context, args: OneOf) -> tuple[Gap, ...]:
    """Return that the plan has no list for any of the settings that a rule chooses, if so."""
    settings = [
        (block, setting)
        for _, block in context.blocks()
        for setting in block.type.settings
        if args.chooses(setting.role, setting.name) and setting.kind != "secret"
    ]
    if args.values or not settings or any(approved(context, *one) for one in settings):
        return ()
    return (Gap("a list under `approved` in the plan", len(settings)),)


def approved(context: Context, block: Block, setting: Setting) -> tuple[Scalar, ...]:
    """Return the values of a setting that the plan's owner allows."""
    return tuple(
        value
        for entry in context.site.plan.approved
        if entry.setting == setting.name and (not entry.types or block.type.name in entry.types)
        for value in entry.values
    )
