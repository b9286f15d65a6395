"""Days that a text looks like, and days that a date or its serial number means."""

from __future__ import annotations

import pytest

from audit.slips.dates import days_meant, days_of


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("3-4", {(3, 4), (4, 3)}),
        ("3/4", {(3, 4), (4, 3)}),
        ("3.15", {(3, 15)}),
        ("15-3", {(3, 15)}),
        ("2-30", set()),
        ("29-2", {(2, 29)}),
        ("3-4-26", {(3, 4), (4, 3)}),
        ("0-4", set()),
        ("PT-3", set()),
        ("3-400", set()),
        ("", set()),
    ],
)
def test_days_that_a_text_looks_like(text: str, days: set[tuple[int, int]]) -> None:
    """Month and day, in either order, where the calendar has that day."""
    assert days_of(text) == days


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("2026-04-03", {(4, 3)}),
        ("2026-04-03 00:00:00", {(4, 3)}),
        ("03.04.2026", {(3, 4), (4, 3)}),
        ("4/3/26", {(3, 4), (4, 3)}),
        ("3-Apr", {(4, 3)}),
        ("Apr 3, 2026", {(4, 3)}),
        ("Aprilis 3", {(4, 3)}),
        ("46115", {(4, 3), (4, 4)}),  # 2026-04-03, and 2030-04-04 in the 1904 system
        ("46115.0", {(4, 3), (4, 4)}),
        ("39999", set()),
        ("55001", set()),
        ("2026-13-03", set()),
        ("0x46115", set()),
        ("", set()),
    ],
)
def test_days_that_a_text_means(text: str, days: set[tuple[int, int]]) -> None:
    """Dates with the year in front or behind, names of months, serial numbers of both date systems."""
    assert days_meant(text) == days
