"""When a gateway had last heard a node: how long before its list was made, or never."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterable
from statistics import median

from audit.reading.moments import moment

NEVER = math.inf
"""Seconds since a node was heard that the list says was not heard at all."""
NOT_HEARD = (
    "never", "none", "no", "not heard", "not joined", "offline", "off-line", "lost", "silent", "missing",
    "down", "disconnected",
)  # fmt: skip
"""What stands in lists for a node that is not heard, or that has no gateway."""
DAY, HOUR = 86_400, 3_600
_SPAN = re.compile(r"(\d{1,4}):([0-5]\d):([0-5]\d)")


def seconds_ago(text: str, at: datetime.datetime | None, *, spans: bool) -> float | None:
    """Return how many seconds before a time a node was heard, as a text says; None: it is not understood.

    `spans` tells whether 02:31:00 is a span of time; a time of the day does not tell of which day.
    """
    if text.casefold() in NOT_HEARD:
        return NEVER
    span = _span_s(text)
    if span is not None:
        return span if spans else None
    try:
        then = moment(text)
    except ValueError:
        return None
    return max(0.0, (at - then).total_seconds()) if at and then else None


def are_spans(written: Iterable[tuple[str, datetime.datetime | None]]) -> bool:
    """Tell whether texts such as 02:31:00, each with the time of its row, are spans of time.

    They are where most nodes were heard longer ago if they were times of the day. A row without a time
    of the day takes an hour for that.
    """
    as_spans, as_times = [], []
    for text, at in written:
        span = _span_s(text)
        if span is not None:
            as_spans.append(span)
            day = at - datetime.datetime.combine(at, datetime.time()) if at else datetime.timedelta()
            as_times.append((day.total_seconds() - span) % DAY if day else float(HOUR))
    return not as_spans or median(as_spans) <= median(as_times)


def _span_s(text: str) -> float | None:
    found = _SPAN.fullmatch(text)
    if not found:
        return None
    hours, minutes, seconds = map(int, found.groups())
    return float(HOUR * hours + 60 * minutes + seconds)
