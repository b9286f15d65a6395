"""code-age: access codes are changed as often as the plan requires.

The age counts from the day read back or, where marks of access codes are kept, from the first run that read
the same code, and no other one since: it is at least that old.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from audit.checks.code_holders import Name, held_since, names_of_device, names_of_mark
from audit.checks.context import Context, codes_read, day_read, hit
from audit.model.asked_of_evidence import CodeAge
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block
from audit.phrases import counted

Key = tuple[Name, str]
"""A name of the device that has the code, and the mark."""
UNKNOWN = "nothing says when the access code was changed"
SHOWING_A_CODE = ("code_changed_on", "access_code", "default_refused")
"""Roles by which a device type shows that its devices have an access code."""


def run(context: Context, args: CodeAge) -> Outcome:
    """Return a hit for each device whose code is too old, or for which nobody knows its age."""
    rules, day = context.site.plan.access_codes, context.site.day
    if rules is None:
        lacking = Gap("an age limit for access codes in the plan (access_codes)", len(context.site.blocks))
        return Outcome(0, [], (lacking,))
    if day is None or not context.site.readback:
        return Outcome(0, [])
    first_read = _first_read(context)
    looked_at = 0
    hits: list[Hit] = []
    for b, block in context.blocks():
        if not any(map(block.settings, SHOWING_A_CODE)):
            continue
        read = [i for i, rows in enumerate(block.rows) if rows]
        looked_at += len(read)
        since = {i: _since(context, block, i, first_read, day) for i in read}
        if args.what == "unknown":
            hits += _unknown(block, b, [i for i, known in since.items() if known is None], day)
            continue
        for i, known in since.items():
            if known and (day - known.day).days > rules.change_every_days:
                hits.append(_too_old(block, b, i, known, day, rules.change_every_days))
    return Outcome(looked_at, hits)


class Since(NamedTuple):
    """The earliest day from which a device is known to have its code."""

    day: datetime.date
    noted: bool
    """Whether that day was noted as the day of the change; otherwise the code itself was read then."""


def _since(
    context: Context, block: Block, i: int, first_read: Mapping[Key, datetime.date], today: datetime.date
) -> Since | None:
    """Return since when a device is known to have its code, or None if nobody knows.

    A day still to come was mistyped; counted, it would keep the code young until then.
    """
    noted = day_read(block, "code_changed_on", i)
    noted = noted if noted and noted <= today else None
    read = (first_read[key] for key in _keys(context, block, i) if key in first_read)
    day = min((*read, *([noted] if noted else [])), default=None)
    return Since(day, noted=day == noted) if day else None


def _too_old(block: Block, b: int, i: int, known: Since, today: datetime.date, most: int) -> Hit:
    """Return the hit on a code that is older than `most` days."""
    age, since = f"{(today - known.day).days:,} days old", known.day.isoformat()
    age = f"{age} (changed on {since})" if known.noted else f"at least {age} (read on {since})"
    shown = block.first_settings("code_changed_on" if known.noted else "access_code")
    return hit(block, b, i, shown, f"the access code is {age}; the plan allows {counted(most, 'day')}")


def _first_read(context: Context) -> dict[Key, datetime.date]:
    """Return, for each code of each device, the day of the first run that read it, and no other one since."""
    first: dict[Key, datetime.date] = {}
    for mark, day in held_since(context.site.marks.marks if context.site.marks else ()).items():
        for name in names_of_mark(context, mark):
            key = (name, mark.mark)
            first[key] = min(day, first.get(key, day))
    return first


def _keys(context: Context, block: Block, i: int) -> Iterator[Key]:
    """Yield the codes that were read at a device, in the form in which marks name them."""
    for its, setting in codes_read(block, i):
        for name in names_of_device(context, block, setting.name, i):
            yield name, its.token.hex()


def _unknown(block: Block, b: int, devices: Sequence[int], today: datetime.date) -> Iterator[Hit]:
    """Yield the hits on devices with codes of unknown age: one for all if their type cannot record it."""
    dated = block.first_settings("code_changed_on")
    for i in devices if dated else ():
        text = block.value("found", dated[0].name, i).shown
        what = f"{text} is not understood as a day" if text else UNKNOWN
        message = f"{what}; write the day in the form 2026-03-31"
        if later := day_read(block, "code_changed_on", i):
            message = (
                f"the access code is said to be changed on {later}, after the day of this run, {today}; "
                "correct the day"
            )
        yield hit(block, b, i, dated, message)
    if devices and not dated:
        have = "1 device" if len(devices) == 1 else f"{len(devices):,} devices"
        message = (
            f"{have} of type {block.type.name}: {UNKNOWN}, and nobody "
            "can record it, since the type has no setting with the role code_changed_on; add one"
        )
        place = block.planned_place(devices[0], "tag")
        yield Hit("", "", (), message, places=(place,), order=(b, devices[0]))
