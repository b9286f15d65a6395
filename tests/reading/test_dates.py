"""Dates: what a spreadsheet makes of a text that looks like one, and what only resembles a date."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.reading.dates import SERIALS, days_like, made_of, of_serial

THIS_TRADE = st.dates(datetime.date(2010, 1, 1), datetime.date(2045, 12, 31))
FORMS = [
    "%Y-%m-%d",
    "%Y-%m-%dT00:00",
    "%Y-%m-%d 00:00:00",
    "%d.%m.%Y",
    "%m/%d/%Y",
    "%d-%b",
    "%d. %b",
    "%b %d",
    "%d-%b-%y",
    "%d %B %Y",
]
"""How spreadsheets, and the files that they save, write a date."""


@given(THIS_TRADE, st.sampled_from(FORMS), st.sampled_from("-/. "), st.booleans())
def test_a_text_that_became_a_date_is_known_again(
    date: datetime.date, form: str, mark: str, day_first: bool
) -> None:
    """Day and month, in either order, come back as a date of any year and form."""
    parts = (date.day, date.month) if day_first else (date.month, date.day)

    assert made_of(date.strftime(form), f"{parts[0]}{mark}{parts[1]}")


@given(THIS_TRADE, st.sampled_from([1900, 1904]))
def test_a_text_that_became_a_serial_is_known_again(date: datetime.date, system: int) -> None:
    """A date cell whose format was lost shows the number of days since the start of its date system."""
    first = of_serial(0, system)
    assert first is not None

    assert made_of(str((date - first).days), f"{date.day}-{date.month}")


@pytest.mark.parametrize(
    ("found", "planned"),
    [
        ("2026-03-02", "MAR-2"),
        ("02. Mrz", "2-3"),
        ("3. août", "3-8"),
        ("Apr-03", "4-03"),
        ("1998-03-01", "3-98"),
        ("35855", "3-98"),
        ("2003-02-01", "1-2-3"),
        ("46115.0", "3.4"),
        ("2026-09-02", "Sept2"),
    ],
)
def test_names_of_months_and_planned_years(found: str, planned: str) -> None:
    """Months have names in several languages, and a month with a year becomes the first of that month."""
    assert made_of(found, planned)


@pytest.mark.parametrize(
    ("found", "planned"),
    [
        ("2026-04-03", "4-4"),
        ("2026-04-03", "PT-3"),
        ("2026-04-03", "2026-04-03"),
        ("2026-04-03", ""),
        ("", "3-4"),
        ("4-3", "3-4"),
        ("2-1-3", "1-2-3"),
        ("2.4.1", "2.4"),
        ("7.2", "7-2"),
        ("Mar 2", "MAR-2"),
        ("12", "3-4"),
        ("38537", "5-7"),
        ("2026-02-30", "30-2"),
        ("Apr", "3-4"),
        ("3-4", "2026-04-03"),
        ("2026-13-45", "45-13"),
    ],
)
def test_other_texts_are_no_such_date(found: str, planned: str) -> None:
    """Another tag, another spelling, a version or a number of another size is not a date."""
    assert not made_of(found, planned)


@given(st.text(max_size=12), st.text(max_size=12))
def test_no_text_is_too_strange(found: str, planned: str) -> None:
    """Any two texts have an answer, and no text is the date made of itself."""
    made_of(found, planned)

    assert not made_of(found, found)


def test_the_serials_of_today_reach_from_2009_to_2050() -> None:
    """The first serial is 2009-07-06 in the 1904 system, the last 2050-07-31 in the 1900 system."""
    assert of_serial(SERIALS[0], 1904) == datetime.date(2009, 7, 6)
    assert of_serial(SERIALS[-1], 1900) == datetime.date(2050, 7, 31)


def test_a_serial_beyond_the_calendar_is_no_day() -> None:
    """The calendar ends with the year 9999."""
    assert of_serial(10**9) is None


@pytest.mark.parametrize("text", ["12-34-4100310001", "1-2-3000000000", "mar-4100000001"])
def test_long_parts_are_no_dates(text: str) -> None:
    """Serial numbers have parts of ten digits, which no calendar has."""
    assert not days_like(text)
    assert not made_of("2026-02-01", text)
