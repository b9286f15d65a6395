"""Slips of identifiers: look-alikes, dates, lost digits."""

from __future__ import annotations

from typing import Any

import pytest

from audit.slips import Around, tabulated
from tests.slips.cases import ADDRESS, CHANNEL, IDENTIFIER, fitting, ranked, setting, value


@pytest.mark.parametrize(
    ("slip", "of", "planned", "found"),
    [
        ("look-alike", IDENTIFIER, "1A0B", "IAO8"),
        ("look-alike", IDENTIFIER, "IA", "lA"),
        ("look-alike", IDENTIFIER, "52Z", "S22"),
        ("look-alike", CHANNEL, "21", "2l"),
        ("look-alike", ADDRESS, "105", "1O5"),
        ("look-alike", IDENTIFIER, "1A0B", "1a0b"),
        ("look-alike", IDENTIFIER, "1a0b", "1A0B"),
        ("look-alike", IDENTIFIER, "Pump", "pUMP"),
        ("date-mangled", IDENTIFIER, "3-4", "2026-04-03"),
        ("date-mangled", IDENTIFIER, "3-4", "2026-03-04T00:00:00"),
        ("date-mangled", IDENTIFIER, "3-4", "04/03/2026"),
        ("date-mangled", IDENTIFIER, "3-4", "03-Apr"),
        ("date-mangled", IDENTIFIER, "3-4", "Mar-04"),
        ("date-mangled", IDENTIFIER, "3-4", "46115"),  # 2026-04-03
        ("date-mangled", IDENTIFIER, "3-4", "44653"),  # the same day in the 1904 system
        ("precision-lost", IDENTIFIER, "402118300108", "4.02E+11"),
        ("precision-lost", IDENTIFIER, "402118300108", "4,02118E+11"),
        ("precision-lost", IDENTIFIER, "40211830010812345", "40211830010812300"),
    ],
)
def test_a_slip_is_recognised(slip: str, of: dict[str, Any], planned: str, found: str) -> None:
    """What spreadsheets and eyes make of identifiers."""
    assert slip in fitting(of, planned, found, Around(planned_text=planned))


@pytest.mark.parametrize(
    ("slip", "of", "planned", "found"),
    [
        ("look-alike", IDENTIFIER, "1A0B", "1A0C"),
        ("look-alike", IDENTIFIER, "1A0B", "1a0c"),
        ("look-alike", ADDRESS, "105", "1O6"),
        ("look-alike", {"kind": "option", "options": ("S", "5")}, "S", "5"),
        ("date-mangled", IDENTIFIER, "3-4", "2026-05-03"),
        ("date-mangled", IDENTIFIER, "3-4", "46116"),
        ("date-mangled", IDENTIFIER, "3-4", "39000"),
        ("date-mangled", IDENTIFIER, "13-32", "2026-04-03"),
        ("date-mangled", IDENTIFIER, "PT-31", "2026-04-03"),
        ("precision-lost", IDENTIFIER, "402118300108", "4.03E+11"),
        ("precision-lost", IDENTIFIER, "402118300108", "4.02E+12"),
        ("precision-lost", IDENTIFIER, "40211830010812345", "40211830010812400"),
        ("precision-lost", IDENTIFIER, "4A2118300108", "4.02E+11"),
    ],
)
def test_a_slip_is_not_recognised(slip: str, of: dict[str, Any], planned: str, found: str) -> None:
    """Another day, another number, and a text that is not an identifier at all."""
    assert slip not in fitting(of, planned, found, Around(planned_text=planned))


def test_a_decimal_that_became_a_date() -> None:
    """3.15 is planned, and a spreadsheet took it for the 15th of March: it is no longer a number."""
    level = {"kind": "decimal", "unit": "m", "step": 0.01}

    assert ranked(level, "3.15", "2026-03-15", Around(planned_text="3.15")).words() == (
        "likely slip: turned into a date by a spreadsheet (99 %)"
    )


def test_a_table_has_each_look_alike_of_one_character() -> None:
    """The form that is filled in on a tablet names IA0B for 1A0B, too."""
    serial = setting(**IDENTIFIER)
    table = tabulated(serial, value("1A0B", serial))

    assert [found for found, words in table.items() if "look-alike characters mixed up" in words] == [
        "IA0B", "lA0B", "1AOB", "1A08",
    ]  # fmt: skip
