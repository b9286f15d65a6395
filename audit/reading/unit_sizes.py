"""The exact sizes of the units that can be converted into each other.

Definitions of the SI, and of foot, inch, gallon (U.S. and imperial), petroleum barrel (42 U.S. gallons),
pound-force, standard atmosphere, torr (its 760th part), kilogram-force and the conventional columns of water
(1000 kg/m³) and mercury (13595.1 kg/m³, both under 9.80665 m/s²), exact by definition; from memory.
tests/outside/test_units.py compares them with NIST SP 811 and with a library.
"""

from __future__ import annotations

from fractions import Fraction

_INCH = Fraction("0.0254")
_GALLON = 231 * _INCH**3
_POUND_FORCE = Fraction("4.4482216152605")
_WATER, _MERCURY = 1000 * Fraction("9.80665"), Fraction("13595.1") * Fraction("9.80665")
"""Pascals per metre of each."""

SIZES: dict[str, dict[str, Fraction | int | str]] = {
    "pressure": {  # in pascal
        "pascal": 1, "hectopascal": 100, "kilopascal": 1000, "megapascal": 10**6, "millipascal": "0.001",
        "bar": 10**5, "millibar": 100, "megabar": 10**11, "psi": _POUND_FORCE / _INCH**2,
        "meter_H2O": _WATER, "centimeter_H2O": _WATER / 100, "millimeter_H2O": _WATER / 1000,
        "foot_H2O": _WATER * 12 * _INCH, "inch_H2O": _WATER * _INCH, "inch_Hg": _MERCURY * _INCH,
        "millimeter_Hg": _MERCURY / 1000, "torr": Fraction(101_325, 760), "atmosphere": 101_325,
        "kgf/centimeter**2": "98066.5",
    },
    "temperature": {"kelvin": 1, "degree_Celsius": 1, "degree_Fahrenheit": Fraction(5, 9)},
    "length": {"meter": 1, "millimeter": "0.001", "centimeter": "0.01", "kilometer": 1000,
               "foot": 12 * _INCH, "inch": _INCH},
    "volume": {"meter**3": 1, "liter": "0.001", "milliliter": "1e-6", "megaliter": 1000, "gallon": _GALLON,
               "imperial_gallon": "0.00454609", "oil_barrel": 42 * _GALLON},
    "flow": {  # in cubic metres a second
        "meter**3/second": 1, "meter**3/hour": Fraction(1, 3600), "meter**3/day": Fraction(1, 86_400),
        "liter/second": "0.001", "liter/minute": Fraction(1, 60_000), "liter/hour": Fraction(1, 3_600_000),
        "gallon/minute": _GALLON / 60,
    },
    "time": {"second": 1, "millisecond": "0.001", "minute": 60, "hour": 3600, "day": 86_400},
    "frequency": {"hertz": 1, "millihertz": "0.001", "kilohertz": 1000, "megahertz": 10**6,
                  "gigahertz": 10**9},
    "bit rate": {"bit/second": 1, "kilobit/second": 1000},
    "voltage": {"volt": 1, "millivolt": "0.001", "megavolt": 10**6},
    "current": {"ampere": 1, "milliampere": "0.001", "microampere": "1e-6"},
    "power": {"watt": 1, "milliwatt": "0.001", "kilowatt": 1000, "megawatt": 10**6},
    "conductivity": {"siemens/meter": 1, "millisiemens/centimeter": "0.1", "microsiemens/centimeter": "1e-4",
                     "megasiemens/centimeter": 10**8},
    "concentration": {"gram/liter": 1, "milligram/liter": "0.001"},
    "part": {"percent": "0.01", "ppm": "1e-6"},
    "mass": {"kilogram": 1, "gram": "0.001"},
}  # fmt: skip
"""Quantity → unit → its size in the quantity's own unit. No factor converts decibels."""

ZEROS = {"degree_Celsius": Fraction("273.15"), "degree_Fahrenheit": Fraction("459.67") * Fraction(5, 9)}
"""The zero of a unit, in kelvin; every other unit has the zero of its quantity."""

SIZE = {unit: (quantity, Fraction(size)) for quantity, units in SIZES.items() for unit, size in units.items()}
"""Unit → its quantity and its size."""
