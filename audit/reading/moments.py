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


def moment(text: str) -> datetime.datetime | None:
    """Return the time of an ISO 8601 text, in UTC if it states an offset; None for a blank."""
    if not text.strip():
        return None
    if _PART_OF_HOUR.search(text):
        raise ValueError("there is a point after the hour or minute, not a colon")
    found = datetime.datetime.fromisoformat(text.strip())
    try:
        return found.astimezone(datetime.UTC).replace(tzinfo=None) if found.tzinfo else found
    except OverflowError:
        raise ValueError("outside the calendar") from None


def day_of(text: str) -> datetime.date | None:
    """Return the day of an ISO 8601 text, on the calendar of whoever wrote it; None for a blank."""
    return datetime.datetime.fromisoformat(text.strip()).date() if moment(text) else None


def in_order(one: str, other: str) -> bool:
    """Return whether two ISO 8601 texts show which is earlier: a day alone does not, within that day.

    A time without an offset is taken to be from the same clock as one with an offset, like a sheet filled in
    beside a phone. Compared with one in UTC it shows nothing within the hours by which clocks may differ.
    """
    first, second = moment(one), moment(other)
    if first is not None and second is not None and states_offset(one) != states_offset(other):
        first, second = _on_the_wall(one), _on_the_wall(other)
        if "Z" in (one + other).upper() and abs(first - second) <= FARTHEST_OFFSET:
            return False
    if first is None or second is None or first == second:
        return False
    return day_of(one) != day_of(other) or not (day_alone(one) or day_alone(other))


def is_later(one: str, than: str) -> bool:
    """Return whether an ISO 8601 text is later than another, if the two show it."""
    if not in_order(one, than):
        return False
    if states_offset(one) != states_offset(than):
        return _on_the_wall(one) > _on_the_wall(than)
    return (moment(one) or datetime.datetime.min) > (moment(than) or datetime.datetime.min)


def states_offset(text: str) -> bool:
    """Return whether an ISO 8601 text states its offset from UTC."""
    return datetime.datetime.fromisoformat(text.strip()).tzinfo is not None


def _on_the_wall(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text.strip()).replace(tzinfo=None)


def common_offset(texts: Iterable[str]) -> datetime.timedelta:
    """Return the offset from UTC that most of these ISO 8601 texts state, apart from those in UTC (Z)."""
    stated = (datetime.datetime.fromisoformat(text.strip()).utcoffset() for text in texts
              if text.strip() and "Z" not in text.upper())  # fmt: skip
    count = Counter(offset for offset in stated if offset is not None)
    return min(count, key=lambda offset: (-count[offset], offset), default=datetime.timedelta())


def day_alone(text: str) -> bool:
    """Return whether a text is a day without a time."""
    try:
        return datetime.date.fromisoformat(text.strip()) is not None
    except ValueError:
        return False
