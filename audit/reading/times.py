"""Times: dates in a form that a mapping declares, and problems with texts that are not times."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import get_args

from audit.errors import Problem
from audit.grouping import grouped
from audit.model.mapping import DateForm
from audit.model.readback import FIELDS as KNOWN
from audit.model.table import Table
from audit.reading.quoting import quoted
from audit.reading.vocabulary import Vocabulary

FIELDS = ("read_at", "configured_at", "installed_on")
"""The fields that contain times or days."""
ROLES = ("alarm_authorised_until", "code_changed_on")
"""The roles of settings that are days."""
ISO = "2026-03-31 or 2026-03-31T09:15"
_PARTS = {"DD": r"(?P<day>\d{1,2})", "MM": r"(?P<month>\d{1,2})", "YYYY": r"(?P<year>\d{4})"}
_TIME = (
    r"(?:[T,\s]\s*(?P<hour>\d{1,2})(?P<rest>:\d\d(?::\d\d(?:[.,]\d+)?)?)"
    r"(?:\s?(?P<half>[ap])\.?m\.?)?(?P<zone>Z|[-+]\d\d:?\d\d)?)?"
)
_LOOKS_ISO = re.compile(r"\d{4}-\d\d-\d\d(?:[T ]\d\d(?::\d\d){1,2}(?:[.,]\d+)?(?:Z|[-+]\d\d:?\d\d)?)?")
"""The form of a day or time; `2026-11-31` has that form but is not a day."""
_POINT_FOR_COLON = re.compile(r"(?<=\d[T\s])(\d\d)[.,](\d\d)$")


@cache
def _pattern(form: str) -> re.Pattern[str]:
    parts = r"(?P<year>\d\d)".join(re.split(r"(?<!Y)YY(?!Y)", re.escape(form)))
    for part, pattern in _PARTS.items():
        parts = parts.replace(part, pattern)
    return re.compile(parts + _TIME, re.IGNORECASE)


def as_iso(text: str, form: str) -> str:
    """Return a date or time of a declared form in ISO form; any other text as it is.

    Years of two digits are in the 2000s.
    """
    found = _pattern(form).fullmatch(text.strip())
    if found is None:
        return text
    year = found["year"] if len(found["year"]) == len("2026") else f"20{found['year']}"
    day = f"{year}-{found['month']:0>2}-{found['day']:0>2}"
    if not found["hour"]:
        return day
    hour = int(found["hour"])
    if found["half"]:
        hour = hour % 12 + 12 * (found["half"].casefold() == "p")
    return f"{day}T{hour:02}{found['rest']}{found['zone'] or ''}"


def with_iso_times(table: Table, words: Vocabulary, form: str) -> Table:
    """Return a table whose dates and times, of a declared form, are in ISO form; raw texts are kept."""
    columns = dict(table.columns)
    for name, column in table.columns.items() if form else ():
        setting = words.settings.get(name)
        if name in FIELDS or (setting and setting.role in ROLES):
            iso = {text: as_iso(text, form) for text in set(column.texts)}
            columns[name] = column.read_as([iso[text] for text in column.texts])
    return replace(table, columns=columns) if form else table


def without_times_of_remarks(table: Table) -> Table:
    """Return a table without the times in last rows that have no reading: signatures, totals, remarks.

    What is written there below the times of reading need not be a time.
    """
    if "read_at" not in table.columns:
        return table
    settings = [column for name, column in table.columns.items() if name not in KNOWN]
    end = len(table.rows)
    while end and all(column.is_blank(end - 1) for column in settings):
        end -= 1
    column = table.columns["read_at"]
    if end in (0, len(table.rows)) or all(map(_is_time, column.texts[end:])):
        return table
    texts = [*column.texts[:end], *(text if _is_time(text) else "" for text in column.texts[end:])]
    return replace(table, columns={**table.columns, "read_at": column.read_as(texts)})


def not_times(table: Table, name: str, bad: set[str], iso: str = ISO) -> Iterator[Problem]:
    """Yield a problem for texts of a field that are not times: one for all that are written alike.

    A column in another form is one fault in the file, however many rows it has.
    """
    entries_of = enumerate(table.texts(name) if bad else ())
    alike = grouped((re.sub(r"\d+", "0", text.strip()), entry) for entry, text in entries_of if text in bad)
    for entries in alike.values():
        place = table.place(entries[0], name)
        first = quoted(place.raw.strip())
        texts = [table.texts(name)[entry].strip() for entry in entries]
        no_day = _LOOKS_ISO.fullmatch(texts[0]) and not _is_time(texts[0])
        is_none = "is a day or time that does not exist" if no_day else "is not a date or time in ISO form"
        are_none = "are days or times that do not exist" if no_day else "are not in ISO form"
        message = f"{first} {is_none}"
        if len(entries) > 1:
            heading = quoted(place.heading or name)
            message = f"{len(entries)} cells of {heading} {are_none}, the first of them {first}"
        mend = "correct the month, the day or the hour" if no_day else _mend(texts, iso)
        yield place.problem(message, mend)


_DAY_NUMBER = r"[45]\d{4}(\.\d+)?"
"""A day from 2009 to 2064 as spreadsheets count them, with a time of day as its fraction."""


def _mend(texts: list[str], iso: str) -> str:
    """Return how to correct texts that are written alike."""
    with_colon = [_POINT_FOR_COLON.sub(r"\1:\2", text) for text in texts]
    if with_colon != texts and _is_time(with_colon[0]):
        return f"write the time with a colon: {with_colon[0]}"
    forms = [form for form in get_args(DateForm) if form
             and all(_is_time(as_iso(text, form)) for text in with_colon)]  # fmt: skip
    if all(re.fullmatch(_DAY_NUMBER, text) for text in texts):
        return f"format the cells as dates, if these are a spreadsheet's numbers of days; or write {iso}"
    stated = " or ".join(f"`dates: {form}`" for form in forms)
    declare = f", or state {stated} in a mapping" if forms else ""
    return f"write it as {iso}{declare}"


def _is_time(text: str) -> bool:
    try:
        datetime.datetime.fromisoformat(text.strip())
    except ValueError:
        return False
    return True
