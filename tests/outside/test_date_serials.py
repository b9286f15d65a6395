"""Day serials of spreadsheets against the standard's own examples.

Source: ISO/IEC 29500-1:2016 (the text of ECMA-376, 5th edition), L.2.16.9.1 'Date Conversion for Serial
Values': base dates and the serials of some dates, in the 1900 date base system and in the 1904 backward
compatibility one. Read. Dates before the base are left out: no program turns a tag into one. The library
openpyxl, `from_excel`, is the reference for every serial number after the day that never was (60).
"""

from __future__ import annotations

import datetime

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904, from_excel

from audit.reading.dates import SERIALS, made_of, of_serial
from tests.slips.cases import IDENTIFIER, fitting

EXAMPLES = [
    (1900, 0, "1899-12-30"),
    (1900, 2, "1900-01-01"),
    (1900, 3687, "1910-02-03"),
    (1900, 38749, "2006-02-01"),
    (1900, 2958465, "9999-12-31"),
    (1904, 0, "1904-01-01"),
    (1904, 2225, "1910-02-03"),
    (1904, 37287, "2006-02-01"),
    (1904, 2957003, "9999-12-31"),
]
"""Date system, serial value, date."""


@pytest.mark.parametrize(("system", "serial", "date"), EXAMPLES)
def test_serials(system: int, serial: int, date: str) -> None:
    """In its date system, a serial is the day that the standard gives."""
    assert of_serial(serial, system) == datetime.date.fromisoformat(date)


def test_the_systems_are_1462_days_apart() -> None:
    """38749 and 37287 are one day in the standard, 2006-02-01, and so are any two serials 1462 apart."""
    assert all(of_serial(serial) == of_serial(serial - 1462, 1904) for serial in range(40000, 55000))


@pytest.mark.parametrize("serial", [38749 + 7366, 37287 + 7366], ids=["1900", "1904"])
def test_a_tag_that_became_a_serial(serial: int) -> None:
    """2026-04-03 is 7366 days after 2006-02-01, so these are the serials that `3-4` becomes."""
    assert made_of(str(serial), "3-4")


@given(st.integers(61, 2_957_003), st.sampled_from([1900, 1904]))
@example(40_000, 1900)
@example(55_000, 1904)
def test_every_serial_number_by_another_library(serial: int, system: int) -> None:
    """The library agrees from the first of March 1900 to the end of the calendar."""
    found = of_serial(serial, system)

    assert found is not None
    assert datetime.datetime.combine(found, datetime.time()) == _by_openpyxl(serial, system)


@given(st.sampled_from(SERIALS), st.sampled_from([1900, 1904]), st.booleans())
def test_a_day_and_month_that_became_a_serial_number(serial: int, system: int, day_first: bool) -> None:
    """3-4 is planned, typed into a cell of general format, and exported as the date's serial number."""
    date = _by_openpyxl(serial, system)
    planned = f"{date.day}-{date.month}" if day_first else f"{date.month}-{date.day}"

    assert made_of(str(serial), planned)
    assert "date-mangled" in fitting(IDENTIFIER, planned, str(serial))


def _by_openpyxl(serial: int, system: int) -> datetime.datetime:
    date = from_excel(serial, CALENDAR_MAC_1904) if system == 1904 else from_excel(serial)
    assert isinstance(date, datetime.datetime)
    return date
