"""Dates as spreadsheets make them of text: days, and their serial numbers in both date systems."""

from __future__ import annotations

import datetime
import re

FIRST_SERIAL, LAST_SERIAL = 40_000, 55_000
"""Serial numbers that are taken for dates: 2009 to 2050 in the 1900 system."""
MANGLED_FORMS = 82
"""Values that a day of no stated year could become: a date or a serial number in each of 41 years."""
_MONTHS = {
    name: number
    for number, name in enumerate(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1
    )
}

Day = tuple[int, int]
"""Month and day."""

_PARTS = re.compile(r"(\d{1,2})[-/. ](\d{1,2})(?:[-/. ](\d{2}|\d{4}))?")
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?")
_YEAR_LAST = re.compile(r"(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{2}|\d{4})(?:[T ].*)?")
_NAMED = re.compile(
    r"(?:(\d{1,2})[-/. ]+)?([a-z]{3})[a-z]*\.?(?:[-/. ]+(\d{1,2}|\d{4}))?(?:[-/. ,]+\d{2,4})?"
)


def days_of(text: str) -> set[Day]:
    """Return the days that a planned text may be taken for: 3-4 is the 3rd of April or the 4th of March."""
    found = _PARTS.fullmatch(text.strip())
    return _either(int(found[1]), int(found[2])) if found else set()


def days_meant(text: str) -> set[Day]:
    """Return the days that a text found may mean: a date, a month's name with a number, a serial number."""
    text = text.strip()
    if found := _YEAR_FIRST.fullmatch(text):
        return {day for day in [(int(found[2]), int(found[3]))] if _is_day(*day)}
    if found := _YEAR_LAST.fullmatch(text):
        return _either(int(found[1]), int(found[2]))
    if found := _NAMED.fullmatch(text.casefold()):
        month = _MONTHS.get(found[2], 0)
        number = int(found[1] or found[3] or 0)
        return {day for day in [(month, number)] if _is_day(*day)}
    whole = text.removesuffix(".0")
    if whole.isascii() and whole.isdigit() and FIRST_SERIAL <= int(whole) <= LAST_SERIAL:
        dates = (from_serial(int(whole)), from_serial(int(whole), since_1904=True))
        return {(date.month, date.day) for date in dates if date}
    return set()


def from_serial(serial: int, *, since_1904: bool = False) -> datetime.date | None:
    """Return the date of a spreadsheet's serial number; None for what is no date.

    ECMA-376 (ISO/IEC 29500-1), 'Date Representation': in the 1900 system 1 is 1900-01-01, and 60 the day
    1900-02-29, which never was. In the 1904 system 0 is 1904-01-01.
    """
    if since_1904:
        return datetime.date(1904, 1, 1) + datetime.timedelta(days=serial) if serial >= 0 else None
    if serial < 1 or serial == 60:
        return None
    before = datetime.date(1899, 12, 31) if serial < 60 else datetime.date(1899, 12, 30)
    return before + datetime.timedelta(days=serial)


def _either(one: int, other: int) -> set[Day]:
    return {day for day in ((one, other), (other, one)) if _is_day(*day)}


def _is_day(month: int, day: int) -> bool:
    try:
        datetime.date(2000, month, day)  # a leap year
    except ValueError:
        return False
    return True
