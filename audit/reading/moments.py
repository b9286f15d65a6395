"""Moments: times and days in ISO 8601 form, and which of two is earlier."""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Iterable

_PART_OF_HOUR = re.compile(r"[^:\d]\d\d(:?\d\d)?[.,]\d")
"""`08.50` is ten minutes to nine, but the library would read a fraction of a second in it."""

FARTHEST_OFFSET = datetime.timedelta(hours=14)
"""No clock differs more from UTC."""


def as_written(text: str) -> datetime.datetime:
    """Return the time of an ISO 8601 text, with its offset if it states one."""
    return datetime.datetime.fromisoformat(text.strip())


def moment(text: str) -> datetime.datetime | None:
    """Return the time of an ISO 8601 text, in UTC if it states an offset; None for a blank."""
    if not text.strip():
        return None
    if _PART_OF_HOUR.search(text):
        raise ValueError("there is a point after the hour or minute, not a colon")
    found = as_written(text)
    try:
        return found.astimezone(datetime.UTC).replace(tzinfo=None) if found.tzinfo else found
    except OverflowError:
        raise ValueError("outside the calendar") from None


def day_of(text: str) -> datetime.date | None:
    """Return the day of an ISO 8601 text, on the calendar of whoever wrote it; None for a blank."""
    return as_written(text).date() if moment(text) else None


def in_order(one: str, other: str) -> bool:
    """Return whether two ISO 8601 texts show which is earlier: a day alone does not, within that day.

    A time without an offset is taken to be from the same clock as one with an offset, like a sheet filled in
    beside a phone. Compared with one in UTC it shows nothing within the hours by which clocks may differ.
    """
    return _told_apart(one, other) is not None


def is_later(one: str, than: str) -> bool:
    """Return whether an ISO 8601 text is later than another, if the two show it."""
    times = _told_apart(one, than)
    return times is not None and times[0] > times[1]


def _told_apart(one: str, other: str) -> tuple[datetime.datetime, datetime.datetime] | None:
    """Return two times on one clock if they show which is earlier, as `in_order` says; else None."""
    first, second = moment(one), moment(other)
    if first is None or second is None:
        return None
    if states_offset(one) != states_offset(other):
        first, second = (as_written(text).replace(tzinfo=None) for text in (one, other))
        if "Z" in (one + other).upper() and abs(first - second) <= FARTHEST_OFFSET:
            return None
    in_a_day = day_of(one) == day_of(other) and (day_alone(one) or day_alone(other))
    return None if first == second or in_a_day else (first, second)


def states_offset(text: str) -> bool:
    """Return whether an ISO 8601 text states its offset from UTC."""
    return as_written(text).tzinfo is not None


def common_offset(texts: Iterable[str]) -> datetime.timedelta:
    """Return the offset from UTC that most of these ISO 8601 texts state, apart from those in UTC (Z)."""
    stated = (as_written(text).utcoffset() for text in texts if text.strip() and "Z" not in text.upper())
    count = Counter(offset for offset in stated if offset is not None)
    return min(count, key=lambda offset: (-count[offset], offset), default=datetime.timedelta())


def day_alone(text: str) -> bool:
    """Return whether a text is a day without a time."""
    try:
        return datetime.date.fromisoformat(text.strip()) is not None
    except ValueError:
        return False
