"""Dates that spreadsheets make: serial numbers in both date systems.

Sources:

- ECMA-376, 1st edition, Part 4 (and Part 3, Primer), 'Date Representation': limits, examples, and that serial
  number 60 of the 1900 system is the 29th of February 1900, which never was. Read, in a transcription of the
  clause; ISO/IEC 29500-1 has taken it over (memory).
- The library openpyxl, `from_excel`, is the reference for every serial number.
"""

from __future__ import annotations

import datetime

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904, from_excel

from audit.slips.dates import FIRST_SERIAL, LAST_SERIAL, days_meant, from_serial
from tests.slips.cases import IDENTIFIER, fitting

EXAMPLES = [
    (1, False, "1900-01-01"),
    (59, False, "1900-02-28"),
    (61, False, "1900-03-01"),
    (3687, False, "1910-02-03"),
    (38749, False, "2006-02-01"),
    (2958465, False, "9999-12-31"),
    (0, True, "1904-01-01"),
    (2225, True, "1910-02-03"),
    (37287, True, "2006-02-01"),
    (2957003, True, "9999-12-31"),
]
"""Serial number, whether it is of the 1904 system, and the date."""


@pytest.mark.parametrize(("serial", "since_1904", "date"), EXAMPLES)
def test_examples_of_the_standard(serial: int, since_1904: bool, date: str) -> None:
    """Every example of the clause."""
    assert str(from_serial(serial, since_1904=since_1904)) == date


def test_the_day_that_never_was() -> None:
    """Serial number 60 names no day; below 1, and below 0 in the 1904 system, there are none."""
    assert from_serial(60) is None
    assert from_serial(0) is None
    assert from_serial(-1, since_1904=True) is None


@given(st.integers(61, 2_958_465))
@example(40_000)
@example(55_000)
def test_every_serial_number_by_another_library(serial: int) -> None:
    """From the first of March 1900 on, to the end of the calendar."""
    assert datetime.datetime.combine(from_serial(serial) or datetime.date.min, datetime.time()) == from_excel(
        serial
    )


@given(st.integers(1, 2_957_003))
def test_every_serial_number_of_the_1904_system(serial: int) -> None:
    """The same in the other date system."""
    found = from_serial(serial, since_1904=True)

    assert found is not None
    assert datetime.datetime.combine(found, datetime.time()) == from_excel(serial, CALENDAR_MAC_1904)


@given(st.integers(FIRST_SERIAL, LAST_SERIAL), st.booleans(), st.booleans())
def test_a_day_and_month_that_became_a_serial_number(serial: int, mac: bool, day_first: bool) -> None:
    """3-4 planned, typed into a cell of general format, and exported as the number behind the date."""
    date = from_excel(serial, CALENDAR_MAC_1904) if mac else from_excel(serial)
    planned = f"{date.day}-{date.month}" if day_first else f"{date.month}-{date.day}"

    assert (date.month, date.day) in days_meant(str(serial))
    assert "date-mangled" in fitting(IDENTIFIER, planned, str(serial))
