"""Same times: a readback whose times of day are those of the baseline's readings, on another day."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import NamedTuple

from audit.checks.context import Context
from audit.checks.copied.visits import BY_MACHINE
from audit.grouping import grouped
from audit.model.drift import Drifting
from audit.model.finding import Hit, Outcome
from audit.model.site import Target
from audit.model.table import Place
from audit.reading.moments import day_alone
from audit.texts import field_of

FEWEST = 5
"""Fewest different times of day that have to come again. Judgement: a time for the whole round may do so."""
STEP_MINUTES = 5
"""Who writes 08:10 and 08:25 may have rounded: such times come again in honest rounds. Judgement."""
PART = 2
"""One in so many devices of a network, or more, has to be read at its own time again. Judgement."""


class _Twice(NamedTuple):
    """A device that was read at a stated time of day both for the baseline and now, on different days."""

    target: Target
    network: str
    tag: str
    then: datetime.datetime
    now: datetime.datetime
    place: Place


def run(context: Context, drifting: Drifting) -> Outcome:
    """Return a hit for each network in which most devices were read at the times of the baseline again.

    Nobody walks a round to the minute of last year's. What a machine exported, or was typed off photos, may
    have the times of its clock, and is left out; so are times of now that may have been rounded.
    """
    twice = list(_read_twice(context, drifting))
    hits = [_hit(network, those) for network, those in grouped((one.network, one) for one in twice).items()]
    return Outcome(len(twice), [hit for hit in hits if hit])


def _read_twice(context: Context, drifting: Drifting) -> Iterator[_Twice]:
    for (b, i), then in drifting.read_then.items():
        block = context.site.blocks[b]
        before = _time(then)
        now = _time(field_of(block, i, "read_at")) if before else None
        if not before or not now or before.date() == now.date() or _may_be_rounded(now):
            continue
        if not BY_MACHINE.search(field_of(block, i, "read_how")):
            place = block.found_place(i, "read_at")
            yield _Twice((b, i), block.networks[i], block.tags[i], before, now, place)


def _time(text: str) -> datetime.datetime | None:
    """Return a time by the clock of whoever wrote it; None for a blank or a day alone."""
    return None if not text or day_alone(text) else datetime.datetime.fromisoformat(text).replace(tzinfo=None)


def _may_be_rounded(at: datetime.datetime) -> bool:
    return at.minute % STEP_MINUTES == 0 and not (at.second or at.microsecond)


def _hit(network: str, those: list[_Twice]) -> Hit | None:
    again = [one for one in those if one.then.time() == one.now.time()]
    if len({one.now.time() for one in again}) < FEWEST or len(again) * PART < len(those):
        return None
    first = again[0]
    message = (
        f"{len(again):,} of {len(those):,} devices with times to the minute were read at the times of day of "
        f"the baseline's readings, such as {first.tag} at {first.then:%Y-%m-%d %H:%M} and "
        f"{first.now:%Y-%m-%d %H:%M}"
    )
    tags = tuple(one.tag for one in again)
    return Hit(network, "", (), message, found=f"{first.now:%H:%M}", places=(first.place,), others=tags,
               order=first.target)  # fmt: skip
