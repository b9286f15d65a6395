"""Dates that a spreadsheet turns texts such as `3-4` into, and its day serials.

Nothing here says what a text means: only whether one text is the date that a spreadsheet makes of another.
"""

from __future__ import annotations

import datetime
import re
from functools import cache
from typing import NamedTuple

BASES = {1900: datetime.date(1899, 12, 30), 1904: datetime.date(1904, 1, 1)}
"""Date system → the day whose serial is 0: ISO/IEC 29500-1:2016, L.2.16.9.1."""
SERIALS = range(38538, 55001)
"""Serials that are taken as days: 2009-07-06 to 2050-07-31 in either system. Judgement.

40000 to 55000 in the 1900 system; serials of the 1904 system are 1462 lower.
"""
MONTHS = {
    "jan": 1, "ene": 1, "gen": 1, "feb": 2, "fev": 2, "mar": 3, "mrz": 3, "maa": 3, "apr": 4, "avr": 4,
    "abr": 4, "may": 5, "mai": 5, "maj": 5, "mei": 5, "mag": 5, "jun": 6, "giu": 6, "jul": 7, "lug": 7,
    "aug": 8, "aou": 8, "ago": 8, "sep": 9, "set": 9, "oct": 10, "okt": 10, "ott": 10, "out": 10, "nov": 11,
    "dec": 12, "dez": 12, "des": 12, "dic": 12,
}  # fmt: skip
"""How the names of months begin in some European languages, without accents."""
_ACCENTS = str.maketrans("äáàâéèêûúü", "aaaaeeeuuu")
_TURN = 30
"""Two-digit years from here on are in the 1900s, as spreadsheets read them. Common practice, no source."""
_MIDNIGHT = re.compile(r"[t ]00:00(:00)?$|\.0$")
_PARTS = re.compile(r"\d+|[a-z]+")
_DATELIKE = re.compile(r"[a-z\d]+(?:[-/., ]{1,2}[a-z\d]+){1,2}\.?|[a-z]{3,9}\d{1,2}|\d{1,2}[a-z]{3,9}")


class Day(NamedTuple):
    """A calendar day; the year is 0 if the text does not state it."""

    year: int
    month: int
    day: int


def made_of(found: str, planned: str) -> bool:
    """Return whether what was found is the date that a spreadsheet makes of a planned text.

    `found` may be a date in any usual form, or a day serial of either date system. `planned` may be a text
    that looks like a date but is not one in this trade, such as `3-4`, `12/5`, `3.4` or `MAR-2`.
    """
    found, planned = _folded(found), _folded(planned)
    wanted = _days(planned)
    if not wanted or _PARTS.findall(found) == _PARTS.findall(planned):
        return False
    days = _serial_of(found, wanted) if found.isdecimal() else _days(found) if _only_a_date(found) else ()
    return any(_agree(day, other) for day in days for other in wanted)


def days_like(text: str) -> frozenset[Day]:
    """Return the days that a spreadsheet may take a text for: `3-4` is the 3rd of April or 4th of March."""
    return _days(_folded(text))


def days_read(text: str) -> frozenset[Day]:
    """Return the days that a found text may mean: as a date, or as a day serial of either date system."""
    folded = _folded(text)
    return frozenset(_of_digits(folded)) if folded.isdecimal() else _days(folded)


def may_be_date(text: str) -> bool:
    """Return whether a text is a date, or may be the day serial of one."""
    return text.isdecimal() or (bool(days_like(text)) and _only_a_date(_folded(text)))


def of_serial(serial: int, system: int = 1900) -> datetime.date | None:
    """Return the day of a serial in the 1900 or the 1904 date system, or None if there is none."""
    try:
        return BASES[system] + datetime.timedelta(days=serial)
    except OverflowError:
        return None


def _folded(text: str) -> str:
    """Return a text in lower case, without accents, time of day, or the `.0` of a whole number."""
    text = _MIDNIGHT.sub("", " ".join(text.casefold().split()))
    return text.translate(_ACCENTS)


def _serial_of(text: str, wanted: frozenset[Day]) -> list[Day]:
    """Return the days of a serial; one outside SERIALS counts only if a year is planned."""
    days = _of_digits(text)
    return days if days and (int(text) in SERIALS or any(day.year for day in wanted)) else []


def _of_digits(text: str) -> list[Day]:
    """Return the days of a serial of five digits in either date system."""
    dates = [of_serial(int(text), system) for system in BASES] if len(text) == len("40000") else []
    return [Day(date.year, date.month, date.day) for date in dates if date]


def _only_a_date(text: str) -> bool:
    """Return whether a text is most likely a date: it names a month or a year. `2.4.1` is firmware."""
    return any(part.isalpha() or len(part) == 4 for part in _PARTS.findall(text))


def _agree(one: Day, other: Day) -> bool:
    return one[1:] == other[1:] and (one.year == other.year or not (one.year and other.year))


@cache
def _days(text: str) -> frozenset[Day]:
    """Return the days that a folded text may mean; none if it does not look like a date."""
    if not _DATELIKE.fullmatch(text):
        return frozenset()
    parts = _PARTS.findall(text)
    if len(parts) == 2:
        return frozenset(filter(_exists, _of_two(*parts)))
    if len(parts) == 3:
        return frozenset(filter(_exists, _of_three(parts)))
    return frozenset()


def _of_two(one: str, other: str) -> list[Day]:
    """Return the days that two parts may mean: day and month, or else month and year."""
    month, numbers = _month(one) or _month(other), [int(p) for p in (one, other) if p.isdigit()]
    if month and len(numbers) == 1:
        days = [Day(0, month, numbers[0]), Day(_year(numbers[0]), month, 1)]
        return [day for day in days if day.year or numbers[0] > 0]
    if len(numbers) < 2 or len(one) > 2 or len(other) not in (1, 2, 4):
        return []
    first, second = numbers
    days = [Day(0, second, first), Day(0, first, second)]
    return days if any(map(_exists, days)) and len(other) < 3 else [Day(_year(second), first, 1)]


def _of_three(parts: list[str]) -> list[Day]:
    """Return the days that three parts may mean, in the usual orders."""
    month = next(filter(None, map(_month, parts)), None)
    numbers = [int(part) for part in parts if part.isdigit()]
    if month and len(numbers) == 2:
        return [Day(_year(numbers[1]), month, numbers[0]), Day(_year(numbers[0]), month, numbers[1])]
    if len(numbers) < 3:
        return []
    first, second, third = numbers
    if len(parts[0]) == 4:
        return [Day(first, second, third)]
    days = [Day(_year(third), second, first), Day(_year(third), first, second)]
    return days if len(parts[2]) == 4 else [*days, Day(_year(first), second, third)]


def _month(part: str) -> int | None:
    return MONTHS.get(part[:3]) if part.isalpha() else None


def _year(number: int) -> int:
    if number > 99:
        return number
    return number + (1900 if number >= _TURN else 2000)


def _exists(day: Day) -> bool:
    try:
        return bool(datetime.date(day.year or 2000, day.month, day.day))
    except (ValueError, OverflowError):  # a part of ten digits, as serial numbers have them
        return False
