"""code-age: access codes are changed as often as the plan requires.

The age counts from the day read back or, where marks of access codes are kept, from the first run that read
the same code, which is at least that old.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from audit.checks.code_holders import Name, names_of_device, names_of_mark
from audit.checks.context import Context, day_read, hit
from audit.model.asked_of_evidence import CodeAge
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block
from audit.model.value import Code

Key = tuple[Name, str]
"""A name of the device that has the code, and the mark."""


def run(context: Context, args: CodeAge) -> Outcome:
    """Return a hit for each device whose code is too old, or for which nobody knows its age."""
    rules, day = context.site.plan.access_codes, context.site.day
    if rules is None:
        lacking = Gap("an age limit for access codes in the plan (access_codes)", len(context.site.blocks))
        return Outcome(0, [], (lacking,))
    if day is None or not context.site.readback:
        return Outcome(0, [])
    first_read = _first_read(context)
    looked_at, hits = 0, []
    for b, block in context.blocks():
        settings = [*block.settings("code_changed_on"), *block.settings("access_code")]
        if not settings:
            continue
        unknown = []
        for i, rows in enumerate(block.rows):
            if not rows:
                continue
            looked_at += 1
            noted = day_read(block, "code_changed_on", i)
            read = min(
                (first_read[key] for key in _keys(context, block, i) if key in first_read), default=None
            )
            since = min((known for known in (noted, read) if known), default=None)
            if since is None and args.what == "unknown":
                unknown.append(i)
            elif since and args.what == "too-old" and (day - since).days > rules.change_every_days:
                age = f"{(day - since).days:,} days old (changed on {since.isoformat()})"
                shows = settings[0]
                if since != noted:  # the code itself shows it, whatever was noted
                    age = f"at least {(day - since).days:,} days old (read on {since.isoformat()})"
                    shows = block.settings("access_code")[0]
                message = f"the access code is {age}; the plan allows {rules.change_every_days:,} days"
                hits.append(hit(block, b, i, [shows], message))
        hits += _unknown(block, b, unknown)
    return Outcome(looked_at, hits)


def _first_read(context: Context) -> dict[Key, datetime.date]:
    """Return, for each code of each device, the day of the first run that read it."""
    first: dict[Key, datetime.date] = {}
    for mark in context.site.marks.marks if context.site.marks else ():
        for name in names_of_mark(context, mark):
            key = (name, mark.mark)
            first[key] = min(mark.first_read_on, first.get(key, mark.first_read_on))
    return first


def _keys(context: Context, block: Block, i: int) -> Iterator[Key]:
    """Yield the codes that were read at a device, in the form in which marks name them."""
    for setting in block.settings("access_code"):
        content = block.value("found", setting.name, i).content
        if isinstance(content, Code):
            for name in names_of_device(context, block, setting.name, i):
                yield name, content.token.hex()


def _unknown(block: Block, b: int, devices: Sequence[int]) -> Iterator[Hit]:
    """Yield the hits on devices with codes of unknown age: one for all if their type cannot record it."""
    dated = block.settings("code_changed_on")[:1]
    for i in devices if dated else ():
        message = "nothing says when the access code was changed; write the day as 2026-03-31"
        yield hit(block, b, i, dated, message)
    if devices and not dated:
        have = "1 device" if len(devices) == 1 else f"{len(devices)} devices"
        message = (
            f"{have} of type {block.type.name}: nothing says when the access code was changed, and nobody "
            "can record it, since the type has no setting with the role code_changed_on; add one"
        )
        place = block.planned_place(devices[0], "tag")
        yield Hit("", "", (), message, places=(place,), order=(b, devices[0]))
