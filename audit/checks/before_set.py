"""Whether a device was read after it was last set, as far as its rows say when that was."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import NamedTuple

from audit.checks.context import Context
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.table import Place
from audit.reading.identifiers import bare
from audit.reading.moments import day_of, is_later, moment

TOO_EARLY = "read-before-set"
"""The rule that runs this check; it is silent where no row says when a device was set."""


class When(NamedTuple):
    """When something was done, as a row says."""

    at: datetime.datetime
    text: str
    place: Place


def before_set(context: Context) -> Outcome:
    """Return a hit for each device whose newest reading is older than the last time it was set."""
    looked_at, hits = 0, []
    for b, block in enumerate(context.site.blocks):
        if not any("configured_at" in table.columns for table in block.tables):
            continue
        for i in range(len(block)):
            read, done = last_said(block, i, "read_at"), last_said(block, i, "configured_at")
            if read is None or done is None:
                continue
            looked_at += 1
            if is_later(done.text, read.text):
                message = f"read on {_shown(read, done)}, set on {_shown(done, read)}"
                places = (read.place, done.place)
                hits.append(Hit(block.networks[i], block.tags[i], (), message, found=read.text, places=places,
                                order=(b, i)))  # fmt: skip
    return Outcome(looked_at, hits)


def last_said(block: Block, i: int, field: str) -> When | None:
    """Return the latest time in a field of a device's rows; None if there is none."""
    return max(times_said(block, i, field), default=None)


def times_said(block: Block, i: int, field: str) -> Iterator[When]:
    """Yield the times in a field of a device's rows, leaving out texts that are not times."""
    for table, entry in block.rows_read(i):
        text = bare(table.texts(field)[entry])
        try:
            at = moment(text)
        except ValueError:
            continue
        if at:
            yield When(at, text, table.place(entry, field))


def _shown(when: When, other: When) -> str:
    """Return the day, with the time of day if both are on the same day."""
    same_day = day_of(when.text) == day_of(other.text)
    return when.text if same_day else str(day_of(when.text))
