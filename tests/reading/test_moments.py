"""Moments: what ISO 8601 texts say, and which of two is earlier."""

from __future__ import annotations

import datetime

import pytest

from audit.reading.moments import in_order, is_later, moment


def test_moment_reads_dates_and_times() -> None:
    """A date is its first moment, an offset is taken into account, a blank has no moment."""
    assert moment("2026-04-01") == datetime.datetime(2026, 4, 1)
    assert moment(" 2026-04-01T09:15 ") == datetime.datetime(2026, 4, 1, 9, 15)
    assert moment("2026-04-01T09:15+02:00") == datetime.datetime(2026, 4, 1, 7, 15)
    assert moment("  ") is None


@pytest.mark.parametrize("text", ["0001-01-01T00:00+14:00", "9999-12-31T23:00-14:00"])
def test_a_time_beyond_the_calendar_is_none(text: str) -> None:
    """What is outside the calendar in UTC is reported like any other text that is not a time."""
    with pytest.raises(ValueError, match="calendar"):
        moment(text)


@pytest.mark.parametrize("text", ["2026-05-09T08:50.5", "2026-05-09T0850,5", "2026-05-09T08.5+02:00"])
def test_a_part_of_an_hour_or_minute_is_no_time(text: str) -> None:
    """Only seconds have a fraction; the library takes any other one for a fraction of a second."""
    with pytest.raises(ValueError, match="point"):
        moment(text)


@pytest.mark.parametrize(
    ("one", "other", "known"),
    [
        ("2026-05-09", "2026-05-10T08:42", True),
        ("2026-05-09T08:15", "2026-05-09T08:42:10.5", True),
        ("2026-05-09", "2026-05-09T08:42", False),
        ("20260509", "2026-05-09T08:42", False),
        ("2026-05-09", "2026-05-09", False),
        ("", "2026-05-09T08:42", False),
        ("2026-05-09T08:42", "2026-05-09T08:43+02:00", True),
        ("2026-05-09T08:42", "2026-05-09T08:42+02:00", False),
        ("2026-05-09T08:42+01:00", "2026-05-09T08:42+02:00", True),
        ("2026-05-09T08:42", "2026-05-09T10:42Z", False),
        ("2026-05-09T08:42", "2026-05-09T22:43Z", True),
        ("2026-05-09T08:42+02:00", "2026-05-09T06:43Z", True),
        ("2026-05-09", "2026-05-09T06:43+02:00", False),
    ],
)
def test_two_times_say_which_is_earlier_or_do_not(one: str, other: str, known: bool) -> None:
    """A day alone shows nothing within that day, nor does a blank, nor UTC beside an unknown clock."""
    assert in_order(one, other) == in_order(other, one) == known


@pytest.mark.parametrize(
    ("one", "than", "later"),
    [
        ("2026-03-14T10:10", "2026-03-14T08:00", True),
        ("2026-03-14T08:00", "2026-03-14T10:10", False),
        ("2026-03-14T10:10", "2026-03-14", False),
        ("2026-03-15", "2026-03-14T10:10", True),
        ("2026-03-14T08:30", "2026-03-14T08:00+02:00", True),
        ("2026-03-14T08:00", "2026-03-14T08:30+02:00", False),
        ("2026-03-14T08:00", "", False),
    ],
)
def test_which_is_the_later(one: str, than: str, later: bool) -> None:
    """Only if the texts show it; a time without an offset is taken to be from the other's clock."""
    assert is_later(one, than) == later
