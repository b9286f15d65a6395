"""Chance: how many legal values a setting has."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from audit.slips import Around
from audit.slips.case import case_of
from audit.slips.chance import legal_count
from tests.slips.cases import ADDRESS, CHANNEL, FLAG, IDENTIFIER, LEVEL, PRESSURE, RATE, setting, value

PERCENT = {"kind": "decimal", "unit": "%", "step": 0.1}
PUMP = Around(range_low=value("0", setting(**PRESSURE)), range_high=value("1600", setting(**PRESSURE)))


@pytest.mark.parametrize(
    ("of", "planned", "around", "count"),
    [
        (CHANNEL, "21", Around(), 40),
        (ADDRESS, "38", Around(), 247),
        ({**PRESSURE, "low": 0, "high": 1600, "step": 0.5}, "280", Around(), 3201),
        (RATE, "50", Around(), 5),
        (FLAG, "on", Around(), 2),
        (PRESSURE, "280", Around(), 1000),  # three digits
        (PRESSURE, "280", PUMP, 10_000),  # the range has four
        (PRESSURE, "280", Around(sensor=(-100, 1600)), 19_999),  # and the sensor goes below zero
        (PERCENT, "78", replace(PUMP, range_unit="kPa"), 1000),  # the range is not in per cent
        (LEVEL, "-2.50", Around(), 1999),
        ({"kind": "integer", "digits": 4}, "7", Around(), 10_000),
        (IDENTIFIER, "402118", Around(), 10**6),
        (IDENTIFIER, "1A07", Around(), 16**4),
        (IDENTIFIER, "X1", Around(), 36**2),
        (IDENTIFIER | {"digits": 8}, "1A07", Around(), 16**8),
    ],
)
def test_legal_values_are_counted(of: dict[str, Any], planned: str, around: Around, count: int) -> None:
    """By the limits if there are any, else by the digits of the display and of the surroundings."""
    one = setting(**of)
    case = case_of(one, value(planned, one), around)

    assert case is not None
    assert legal_count(case) == count
