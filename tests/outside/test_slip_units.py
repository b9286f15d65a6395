"""Units that are mistaken for each other: their factors, and well-known pairs of numbers that they explain.

Sources:

- NIST Special Publication 811, 2008 edition, Appendix B.8: psi 6.894 757 E+03 Pa, bar 1.0 E+05 Pa, metre of
  water (conventional) 9.806 65 E+03 Pa, foot 3.048 E-01 m, degree Fahrenheit t/°C = (t/°F - 32)/1.8. Read, in
  a full transcription.
- A litre a second is 3.6 m³/h, a minute 60 s: arithmetic.
- Every pair agrees with the exact conversion, which test_units.py compares with the library pint.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from audit.reading.units import convert
from audit.slips.priors import slip_file, taken_for
from tests.slips.cases import ranked

PRINTED = [
    ("psi", "kPa", "6.894757"),
    ("bar", "kPa", "100"),
    ("mH2O", "kPa", "9.80665"),
    ("L/s", "m³/h", "3.6"),
    ("ft", "m", "0.3048"),
    ("min", "s", "60"),
]
"""Unit, the unit that it is taken for, and how many of that one unit is."""
ALL = [unit for group in slip_file().units for unit in group]


@pytest.mark.parametrize(("unit", "other", "factor"), PRINTED)
def test_factors_are_the_printed_ones(unit: str, other: str, factor: str) -> None:
    """Factors agree with the printed ones, digit by digit."""
    ((found, shift),) = [(f, s) for name, f, s in taken_for(unit) if name == other]

    assert (found.quantize(Decimal(factor)), shift) == (Decimal(factor), Decimal(0))


@pytest.mark.parametrize("unit", ALL)
@pytest.mark.parametrize("number", [Decimal(-40), Decimal(0), Decimal(125), Decimal("1600.5")])
def test_every_pair_as_converted_exactly(unit: str, number: Decimal) -> None:
    """Every pair agrees with the exact conversion to six digits, including shifts of temperature scales."""
    assert taken_for(unit)
    for other, factor, shift in taken_for(unit):
        reference = convert(number, unit, other)
        assert reference is not None
        assert float(number * factor + shift) == pytest.approx(float(reference), rel=1e-6, abs=1e-9)


KPA: dict[str, Any] = {"kind": "decimal", "unit": "kPa", "step": 1}
WORKED = [
    (KPA, "1000", "145", "psi"),  # 1 MPa is 145.04 psi
    (KPA, "101", "10", "mH2O"),  # one atmosphere holds 10.3 m of water
    ({"kind": "decimal", "unit": "psi", "step": 0.1}, "14.7", "101.4", "kPa"),
    ({"kind": "decimal", "unit": "bar", "step": 0.01}, "16.00", "232.06", "psi"),
    ({"kind": "decimal", "unit": "°C", "step": 0.1}, "37.0", "98.6", "°F"),
    ({"kind": "decimal", "unit": "°F", "step": 1}, "212", "100", "°C"),
    ({"kind": "decimal", "unit": "m³/h", "step": 0.1}, "36.0", "10.0", "L/s"),
    ({"kind": "integer", "unit": "s"}, "300", "5", "min"),
]
"""Setting, planned, found, and the unit in which it was entered."""


@pytest.mark.parametrize(("of", "planned", "found", "unit"), WORKED)
def test_well_known_pairs_are_named(of: dict[str, Any], planned: str, found: str, unit: str) -> None:
    """Pairs of numbers that everybody in the trade knows are explained by their unit."""
    words = [slip.words for slip in ranked(of, planned, found).slips]

    assert f"entered in {unit} instead of {of['unit']}" in words
