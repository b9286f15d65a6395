"""Units: their usual spellings, and conversion if both sides state one.

Conversions are calculated in exact fractions. A gauge and an absolute pressure are never converted into
each other: that needs the air pressure at the site at that moment.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import cache

from audit.reading.unit_sizes import SIZE, ZEROS

SPELLINGS = {
    "kpa": "kilopascal", "mpa": "megapascal", "pa": "pascal", "hpa": "hectopascal", "bar": "bar",
    "mbar": "millibar", "psi": "psi", "mh2o": "meter_H2O", "mwc": "meter_H2O", "cmh2o": "centimeter_H2O",
    "mmh2o": "millimeter_H2O", "inh2o": "inch_H2O", "fth2o": "foot_H2O", "inhg": "inch_Hg",
    "mmhg": "millimeter_Hg", "torr": "torr", "atm": "atmosphere", "kgf/cm2": "kgf/centimeter**2",
    "°c": "degree_Celsius", "degc": "degree_Celsius", "oc": "degree_Celsius", "c": "degree_Celsius",
    "°f": "degree_Fahrenheit", "degf": "degree_Fahrenheit", "of": "degree_Fahrenheit",
    "f": "degree_Fahrenheit", "k": "kelvin",
    "m": "meter", "mm": "millimeter", "cm": "centimeter", "km": "kilometer", "ft": "foot",
    "in": "inch", "l": "liter", "ml": "milliliter", "m3": "meter**3", "gal": "gallon",
    "galuk": "imperial_gallon", "gal(uk)": "imperial_gallon", "ukgal": "imperial_gallon",
    "impgal": "imperial_gallon", "bbl": "oil_barrel",
    "l/s": "liter/second", "l/min": "liter/minute", "l/h": "liter/hour", "m3/h": "meter**3/hour",
    "m3/s": "meter**3/second", "m3/d": "meter**3/day", "gpm": "gallon/minute",
    "ms": "millisecond", "s": "second", "sec": "second", "secs": "second", "second": "second",
    "seconds": "second", "min": "minute", "mins": "minute", "minute": "minute", "minutes": "minute",
    "h": "hour", "hr": "hour", "hrs": "hour", "hour": "hour", "hours": "hour",
    "d": "day", "day": "day", "days": "day",
    "hz": "hertz", "khz": "kilohertz", "mhz": "megahertz", "ghz": "gigahertz",
    "v": "volt", "mv": "millivolt", "ma": "milliampere", "ua": "microampere", "a": "ampere",
    "w": "watt", "mw": "milliwatt", "kw": "kilowatt", "dbm": "dBm", "db": "decibel",
    "us/cm": "microsiemens/centimeter", "ms/cm": "millisiemens/centimeter",
    "s/m": "siemens/meter", "mg/l": "milligram/liter", "g/l": "gram/liter", "ppm": "ppm",
    "%": "percent", "kbit/s": "kilobit/second", "bit/s": "bit/second", "kbps": "kilobit/second",
    "kg": "kilogram", "g": "gram", "deg": "degree",
}  # fmt: skip
"""Folded spelling → name; those in `unit_sizes` can be converted. Units that are not here are equal only to
themselves."""

CASED = {"mPa": "millipascal", "MPa": "megapascal", "mW": "milliwatt", "MW": "megawatt",
         "mS/cm": "millisiemens/centimeter", "MS/cm": "megasiemens/centimeter",
         "mL": "milliliter", "ML": "megaliter", "mHz": "millihertz", "MHz": "megahertz", "Mbar": "megabar",
         "mV": "millivolt", "MV": "megavolt"}  # fmt: skip
"""Spellings in which upper and lower case matter."""

_KNOWN = frozenset((*SPELLINGS.values(), *CASED.values()))
_REFERENCES = {"g": "gauge", "gauge": "gauge", "(g)": "gauge", "ü": "gauge", "(ü)": "gauge", "a": "absolute",
               "abs": "absolute", "(a)": "absolute", "absolute": "absolute",
               "(abs)": "absolute"}  # fmt: skip
"""`bar ü` is Überdruck, as German registers have it: gauge pressure."""
_PRESSURE_SUFFIX = re.compile(
    r"(?i)(kpa|bar|psi|mbar|mpa|pa)\s?(gauge|absolute|abs|\(abs\)|\(g\)|\(a\)|\(ü\)|ü|g|a)"
)


@cache
def split(unit: str) -> tuple[str, str]:
    """Return a unit as its name (or its folded spelling) and its pressure reference.

    The reference is `gauge`, `absolute` or empty.
    """
    text = " ".join(unit.split()).replace("µ", "u").replace("μ", "u").replace("³", "3")
    text = text.replace("²", "2").replace("^", "").replace("℃", "°C").replace("℉", "°F")
    text = text.replace("º", "°").replace("˚", "°")  # the ordinal and the ring, as some keyboards have them
    reference = ""
    if found := _PRESSURE_SUFFIX.fullmatch(text):
        text, reference = found[1], _REFERENCES[found[2].casefold()]
    if text in CASED:
        return CASED[text], reference
    folded = text.casefold().replace(" ", "")
    return SPELLINGS.get(folded, folded), reference


def equal(one: str, other: str) -> bool:
    """Return whether two spellings mean the same unit."""
    return split(one) == split(other)


def convert(number: Decimal, unit: str, to: str, *, difference: bool = False) -> Decimal | None:
    """Return a number in one unit converted to another, or None if that is not possible.

    A difference, such as a deadband, has no zero to shift: a difference of 3.6 °F is one of 2 °C.

    Not converted: different quantities, unknown units, and gauge to absolute pressure. If one side
    leaves out the pressure reference, it is taken to be the other's.
    """
    (source, reference), (target, wanted) = split(unit), split(to)
    if reference and wanted and reference != wanted:
        return None
    if source == target:
        return number
    if source not in SIZE or target not in SIZE or SIZE[source][0] != SIZE[target][0]:
        return None
    zero = Fraction(0) if difference else ZEROS.get(source, Fraction(0)) - ZEROS.get(target, Fraction(0))
    found = (Fraction(number) * SIZE[source][1] + zero) / SIZE[target][1]
    return Decimal(found.numerator) / Decimal(found.denominator)


@cache
def line(unit: str, to: str, *, difference: bool = False) -> tuple[Decimal, Decimal] | None:
    """Return slope and intercept of the conversion from one unit to another; None as in `convert`.

    For many numbers: all conversions here are straight lines.
    """
    ends = [convert(Decimal(n), unit, to, difference=difference) for n in (0, 1)]
    return (ends[1] - ends[0], ends[0]) if ends[0] is not None and ends[1] is not None else None


def part_of_range(percent: Decimal, low: Decimal, high: Decimal, *, difference: bool) -> Decimal:
    """Return a percentage of a range in the unit of the range; of a difference, as part of its width."""
    share = (high - low) * percent / 100
    return abs(share) if difference else low + share


def known(unit: str) -> bool:
    """Return whether a unit is a known spelling. Not every known unit can be converted, dBm for instance."""
    return split(unit)[0] in _KNOWN


MIXED_UP = (
    ("kPa", "bar", "psi", "mH2O", "mbar", "MPa"),
    ("m³/h", "L/s", "L/min", "gpm"),
    ("°C", "°F", "K"),
    ("m", "ft", "mm", "cm", "in"),
    ("m³", "L", "gal"),
    ("s", "min", "h", "ms"),
    ("µS/cm", "mS/cm"),
    ("mg/L", "g/L"),
)
"""Units that people mistake for each other in the same field of a display, most common first. Judgement."""


@cache
def mixed_up_with(unit: str) -> tuple[str, ...]:
    """Return the units that a unit is mistaken for, regardless of the pressure reference."""
    text, _ = split(unit)
    for group in MIXED_UP:
        if any(split(other)[0] == text for other in group):
            return tuple(other for other in group if split(other)[0] != text)
    return ()


@cache
def alike(one: str, other: str) -> bool:
    """Return whether two units are the same or mistaken for each other, whatever the pressure reference."""
    text = split(other)[0]
    return split(one)[0] == text or any(split(taken)[0] == text for taken in mixed_up_with(one))
