"""When a gateway last heard a node: how long before its list was made, or never.

Lists give it in seconds, as a span of time, or as a point in time; the comparison is in seconds.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from statistics import median

from audit.model.table import RawColumn, Table
from audit.reading.gateway_lists import is_list
from audit.reading.moments import FARTHEST_OFFSET, as_written, day_alone, moment
from audit.reading.times import as_iso
from audit.reading.units import SPELLINGS
from audit.reading.vocabulary import Vocabulary

NEVER = math.inf
"""Seconds since a node was heard, for a node that the list shows as not heard at all."""
NOT_HEARD = (
    "never", "none", "no", "not heard", "not joined", "offline", "off-line", "lost", "silent", "missing",
    "down", "disconnected",
)  # fmt: skip
"""Words in lists for a node that is not heard, or that has no gateway."""
NO_TIME = "no time, as others have"
"""The reading of a list row without a time, if other rows of its gateway have one."""
DAY, HOUR = 86_400, 3_600
ONE_DAY = datetime.timedelta(days=1)
_SPAN = re.compile(r"(\d{1,4}):([0-5]\d):([0-5]\d)")
_SECONDS = {"second": 1, "minute": 60, "hour": HOUR, "day": DAY}
_PARTS = {"m": 60} | {word: _SECONDS[unit] for word, unit in SPELLINGS.items() if unit in _SECONDS}
"""What follows a number in a span such as 1 d 2 h 31 min → seconds. `m` is never metres here."""
_PART = rf"(\d{{1,5}}) ?({'|'.join(_PARTS)})(?![^\W\d])"
_PARTED = re.compile(rf"(?i:(?:{_PART}[ ,]*)+(?P<rest>{_SPAN.pattern}|{_PART}))")
_OTHER_DATE = re.compile(r"\d{1,2}[./-]\d{1,2}[./-](\d\d|\d{4})\b.*|\d{4}[./]\d{1,2}[./]\d{1,2}\b.*")


def with_seconds_heard(table: Table, words: Vocabulary, dates: str) -> Table:
    """Return a table in which spans and times since a node was heard are in seconds; raw texts are kept.

    `dates` is the form of its dates. What cannot be worked out without the time of the row is left as it is.
    """
    columns = dict(table.columns)
    for name, column in table.columns.items():
        setting = words.settings.get(name)
        if setting and setting.role == "last_heard":
            columns[name] = _in_seconds(column, table.texts("read_at"), dates, _gateways(table, words))
            if is_list(table, words.settings.values()):
                columns[name] = _with_blanks_told(columns[name], _gateways(table, words))
    return replace(table, columns=columns)


def _gateways(table: Table, words: Vocabulary) -> Sequence[str]:
    """Return the gateway of each row of a list, as written; all blank if there is no such column."""
    known = words.settings
    name = next((n for n in table.columns if n in known and known[n].role == "joined_gateway"), "")
    return table.texts(name)


def _with_blanks_told(column: RawColumn, gateways: Sequence[str]) -> RawColumn:
    """Return a column of a list with blanks marked NO_TIME, if other rows of that gateway have a time."""
    blank = [column.style.is_blank(text) for text in column.texts]
    telling = {gateway for gateway, none in zip(gateways, blank, strict=True) if not none}
    texts = [
        NO_TIME if none and gateway in telling else text
        for text, gateway, none in zip(column.texts, gateways, blank, strict=True)
    ]
    return column.read_as(texts)


def _in_seconds(column: RawColumn, read_at: Sequence[str], dates: str, gateways: Sequence[str]) -> RawColumn:
    texts = [(as_iso(text, dates) if dates else text).strip() for text in column.texts]
    times = _made(texts, read_at, gateways)
    spans = are_spans(zip(texts, times, strict=True))
    ago = (seconds_ago(text, at, spans=spans) for text, at in zip(texts, times, strict=True))
    seconds = [text if s is None else f"{s:.0f} s" for text, s in zip(texts, ago, strict=True)]
    return column if seconds == column.texts else replace(column, texts=seconds, raw=column.texts)


def _made(
    heard: Sequence[str], read_at: Sequence[str], gateways: Sequence[str]
) -> list[datetime.datetime | None]:
    """Return when the list of each row was made: when it was read, or later by the gateway's own clock.

    A list is not older than the newest time in it. If that is later than the time of reading, which may be a
    day alone, the gateway's clock is ahead, and its nodes were heard longer ago than it seems. Clocks differ
    by hours; a time that is further ahead is a mistake.
    """
    lists = list(zip(gateways, read_at, strict=True))
    made = {one: written_time(one[1]) for one in dict.fromkeys(lists)}
    for text, one in zip(heard, lists, strict=True):
        then, read = None if text.isdecimal() else written_time(text), written_time(one[1])
        most = ONE_DAY if day_alone(one[1]) else FARTHEST_OFFSET
        newest = made[one]
        if then and read and newest and -most < _before(then, read) < _before(newest, read):
            made[one] = then
    return [made[one] for one in lists]


def _before(then: datetime.datetime, at: datetime.datetime) -> datetime.timedelta:
    """Return how long before a time another one is, negative if after it.

    If only one states an offset, they are taken to be from the same clock.
    """
    if (at.tzinfo is None) != (then.tzinfo is None):
        at, then = at.replace(tzinfo=None), then.replace(tzinfo=None)
    return at - then


def written_time(text: str) -> datetime.datetime | None:
    """Return the time of a text, with its offset if stated; one that is not a time is reported elsewhere."""
    try:
        return as_written(text) if moment(text) else None
    except ValueError:
        return None


def seconds_ago(text: str, at: datetime.datetime | None, *, spans: bool) -> float | None:
    """Return how many seconds before a time a node was heard, from a span or a time; None for other texts.

    `spans`: 02:31:00 is a span of time; as a time of day it would not say which day.
    """
    span = _span_s(text)
    if span is not None:
        return span if spans else None
    if parted := _PARTED.fullmatch(text):
        parts = re.findall(_PART, text, re.IGNORECASE)
        seconds = sum(int(number) * _PARTS[unit.lower()] for number, unit in parts)
        return seconds + (_span_s(parted["rest"]) or 0)
    then = None if text.isdecimal() else written_time(text)
    if not at or not then:
        return None
    if day_alone(text):  # it may have been heard until the end of that day
        ago = _before(then + ONE_DAY, at).total_seconds()
        return ago if ago > 0 else None
    return max(0.0, _before(then, at).total_seconds())


def why_not_heard(text: str) -> str:
    """Return why a text does not say how long ago a node was heard, and how to write it."""
    if _OTHER_DATE.fullmatch(text):
        return "is a date not written like 2026-03-31; state `dates:`, such as DD.MM.YYYY, in a mapping"
    if _SPAN.fullmatch(text):
        return "may be a time of day or a span; write it as 2 h 31 min, or put date and time into read_at"
    return (
        "does not say how long ago; write seconds, hh:mm:ss, 2 h 31 min or never, "
        "or date and time beside a read_at"
    )


def are_spans(written: Iterable[tuple[str, datetime.datetime | None]]) -> bool:
    """Return whether texts such as 02:31:00, each with the time of its row, are spans of time.

    They are, if one is longer than a day, or most nodes would have been heard longer ago with the texts as
    times of day. For a row without a time of day an hour is assumed.
    """
    as_spans, as_times = [], []
    for text, at in written:
        span = _span_s(text)
        if span is not None:
            as_spans.append(span)
            clock = at.time() if at else datetime.time()
            day = datetime.timedelta(hours=clock.hour, minutes=clock.minute, seconds=clock.second)
            as_times.append((day.total_seconds() - span) % DAY if day else float(HOUR))
    return not as_spans or max(as_spans) >= DAY or median(as_spans) <= median(as_times)


def _span_s(text: str) -> float | None:
    found = _SPAN.fullmatch(text)
    if not found:
        return None
    hours, minutes, seconds = map(int, found.groups())
    return float(HOUR * hours + 60 * minutes + seconds)
