"""Dates in a form that a mapping declares."""

from __future__ import annotations

import pytest

from audit.reading.times import as_iso
from tests.reading.made import table


@pytest.mark.parametrize(
    ("form", "text", "iso"),
    [
        ("DD.MM.YYYY", "09.05.2026 08:07", "2026-05-09T08:07"),
        ("DD.MM.YYYY", " 9.5.2026, 8:07:30 ", "2026-05-09T08:07:30"),
        ("DD.MM.YYYY", "2026-05-09T08:07", "2026-05-09T08:07"),
        ("DD.MM.YYYY", "09.05.2026 08.50", "09.05.2026 08.50"),
        ("DD.MM.YYYY", "tomorrow", "tomorrow"),
        ("DD.MM.YY", "09.05.26", "2026-05-09"),
        ("DD-MM-YYYY", "09-05-2026", "2026-05-09"),
        ("MM/DD/YYYY", "5/9/2026 12:07 AM", "2026-05-09T00:07"),
        ("MM/DD/YYYY", "5/9/2026 1:07 p.m.", "2026-05-09T13:07"),
        ("MM/DD/YY", "5/9/26", "2026-05-09"),
        ("YYYY/MM/DD", "2026/5/9 08:07+02:00", "2026-05-09T08:07+02:00"),
    ],
)
def test_a_day_of_the_declared_form_is_brought_into_iso_form(form: str, text: str, iso: str) -> None:
    """A time of day may follow; a text in another form is left, and reported if it is not a time."""
    assert as_iso(text, form) == iso


def test_a_mapping_declares_how_a_file_writes_its_days() -> None:
    """The times are in ISO form from then on; what is quoted is still what the file says."""
    read = table("tag,read_at\nA,09.05.2026 08:07\nB,2026-05-10\n", dates="DD.MM.YYYY")

    assert read.texts("read_at") == ["2026-05-09T08:07", "2026-05-10"]
    assert read.place(0, "read_at").raw == "09.05.2026 08:07"


@pytest.mark.parametrize("last", ["2026-05-10T09:30", " 2026-05-10T09:30 "])
def test_a_time_in_a_last_row_without_a_reading_stays(last: str) -> None:
    """Its serial number was read then. What is no time there is a signature or a remark."""
    read = table(f"tag,serial,channel,read_at\nA,1,7,2026-05-10\nB,2,,{last}\nSigned,,,R. Sample\n")

    assert [text.strip() for text in read.texts("read_at")] == ["2026-05-10", "2026-05-10T09:30", ""]


def test_settings_that_hold_a_day_are_of_the_declared_form_too() -> None:
    """Otherwise an authorisation that has ended would look like one whose end is unknown."""
    read = table("tag,permit_ends,net\nA,09.05.2026,09.05.2026\n", dates="DD.MM.YYYY")

    assert (read.texts("permit_ends"), read.texts("net")) == (["2026-05-09"], ["09.05.2026"])
    assert read.place(0, "permit_ends").raw == "09.05.2026"


def test_a_long_table_has_its_days_declared_as_well() -> None:
    """One row for each setting, each with its time."""
    read = table("tag,setting,value,read_at\nA,channel,7,09/05/2026\n", dates="DD/MM/YYYY")

    assert read.texts("read_at") == ["2026-05-09"]
