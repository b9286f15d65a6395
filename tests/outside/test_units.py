"""Units: factors, spellings, and what is never converted.

Sources:

- NIST Special Publication 811 (2008), appendix B.8 / B.9: factors to SI units, given there with up to seven
  digits. Read, in a full transcription of the tables. Its 'conventional' inches and metres of water are
  meant, not those at 39.2 degF, 4 degC or 60 degF.
- SI Brochure and IEC 80000: the case of a prefix or unit symbol is part of it (m is milli, M is mega);
  'l' and 'L' are both the litre. Memory.
- The library pint (0.25), for every pair of units, in decimal arithmetic of 28 digits.
- That gauge and absolute pressure are not converted into each other: they differ by the pressure of the
  air, which no table gives. SP 811, 7.4 (do not attach information to units) is memory; the rule is ours.
- Other spellings (`degC`, `m^3/h`, `uS/cm`): common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations, permutations
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.device import Setting
from audit.model.table import Style
from audit.model.value import Value
from audit.reading.unit_sizes import SIZES
from audit.reading.units import CASED, SPELLINGS, convert, equal
from audit.reading.values import parse

FACTORS = [
    ("psi", "Pa", "6.894757E+03"),
    ("bar", "Pa", "1.0E+05"),
    ("atm", "Pa", "1.01325E+05"),
    ("kgf/cm2", "Pa", "9.80665E+04"),
    ("inH2O", "Pa", "2.490889E+02"),
    ("ftH2O", "Pa", "2.989067E+03"),
    ("mH2O", "Pa", "9.80665E+03"),
    ("cmH2O", "Pa", "9.80665E+01"),
    ("mmH2O", "Pa", "9.80665E+00"),
    ("inHg", "Pa", "3.386389E+03"),
    ("mmHg", "Pa", "1.333224E+02"),
    ("torr", "Pa", "1.333224E+02"),
    ("ft", "m", "3.048E-01"),
    ("in", "m", "2.54E-02"),
    ("L", "m3", "1.0E-03"),
    ("gal", "m3", "3.785412E-03"),
    ("gal (UK)", "m3", "4.54609E-03"),
    ("bbl", "m3", "1.589873E-01"),
    ("gpm", "m3/s", "6.309020E-05"),
    ("min", "s", "6.0E+01"),
    ("h", "s", "3.6E+03"),
    ("d", "s", "8.64E+04"),
]
"""Unit, SI unit, factor as printed. mH2O is a thousand of the table's mmH2O, conventional; gal is U.S., bbl
that of petroleum. gpm is from the table 'gallon (U.S.) per minute', which was not in the transcription:
3.785412E-03 / 60."""

REFERENCE: Any = pint.UnitRegistry(non_int_type=Decimal, autoconvert_offset_to_baseunit=True)
ON_NO_STRAIGHT_LINE = {"dBm", "decibel"}
OF_NO_OTHER = {"degree"}
"""The only unit of its quantity."""

HALF_A_DIGIT = Decimal("0.5E-6")
"""The uncertainty of a number that begins with 1, printed to seven digits; cells must agree within it."""


def pressure(unit: str = "kPa", step: float = 0.01) -> Setting:
    """Return a decimal setting in a unit."""
    return Setting(name="range_high", kind="decimal", unit=unit, step=step)


def cell(text: str, unit: str = "kPa", column_unit: str = "") -> Value:
    """Return what a cell means for a setting with a unit."""
    return parse(text, pressure(unit), Style(unit=column_unit))


@pytest.mark.parametrize(
    ("unit", "si", "factor"), FACTORS, ids=[f"{unit} in {si}" for unit, si, _ in FACTORS]
)
def test_factors(unit: str, si: str, factor: str) -> None:
    """One of a unit is as many of the SI unit as the table says, to the digits printed."""
    found = convert(Decimal(1), unit, si)
    assert found is not None
    assert abs(found - Decimal(factor)) <= half_of_the_last_digit(factor)


def half_of_the_last_digit(printed: str) -> Decimal:
    """Return by how much a number printed to seven digits may be off: nothing if it has fewer, exact ones."""
    _, digits, exponent = Decimal(printed).as_tuple()
    assert isinstance(exponent, int)
    return Decimal(5).scaleb(exponent - 1) if len(digits) == 7 else Decimal(0)


@pytest.mark.parametrize("quantity", SIZES)
@pytest.mark.parametrize("number", [Decimal(-40), Decimal(0), Decimal("98.6"), Decimal(1600)])
def test_every_pair_by_another_library(quantity: str, number: Decimal) -> None:
    """Each unit, in each other unit of its quantity, is what pint makes of it, to 25 digits."""
    spelt = {name: spelling for spelling, name in (SPELLINGS | CASED).items()}
    for one, other in permutations(SIZES[quantity], 2):
        found = convert(number, spelt[one], spelt[other])
        wanted: Decimal = REFERENCE.Quantity(number, one).to(other).magnitude
        assert found is not None
        assert abs(found - wanted) <= max(abs(wanted), Decimal(1)) * Decimal("1E-24"), f"{one} in {other}"


@pytest.mark.parametrize(("unit", "texts"), [
    ("s", ("sec", "secs", "second", "seconds")), ("min", ("mins", "minute", "minutes")),
    ("h", ("hr", "hrs", "hour", "hours")), ("d", ("day", "days")),
])  # fmt: skip
def test_units_of_time_may_be_written_out(unit: str, texts: tuple[str, ...]) -> None:
    """As exports and people do: 5 minutes, 2 hrs."""
    assert all(equal(unit, text) for text in texts)


def test_every_spelling_has_a_size() -> None:
    """A unit that can be written can be converted, except those that no factor converts."""
    sizes = {unit for units in SIZES.values() for unit in units}

    assert {*SPELLINGS.values(), *CASED.values()} == sizes | ON_NO_STRAIGHT_LINE | OF_NO_OTHER


@pytest.mark.parametrize(
    ("unit", "other", "factor"),
    [
        ("inH2O", "39.2 degF", "249.082"),
        ("inH2O", "60 degF", "248.84"),
        ("ftH2O", "39.2 degF", "2988.98"),
        ("cmH2O", "4 degC", "98.0638"),
        ("inHg", "60 degF", "3376.85"),
    ],
)
def test_columns_are_the_conventional_ones(unit: str, other: str, factor: str) -> None:
    """A column of water is distinguished from one at another temperature, listed beside it in the table."""
    found = convert(Decimal(1), unit, "Pa")
    assert found is not None
    assert abs(found / Decimal(factor) - 1) > Decimal("2E-5"), f"that is {unit} at {other}"


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [("32", "0"), ("212", "100"), ("-40", "-40"), ("0", "-17.7777777778"), ("98.6", "37")],
)
def test_temperatures(fahrenheit: str, celsius: str) -> None:
    """t/degC = (t/degF - 32) / 1.8, and T/K = t/degC + 273.15."""
    found = convert(Decimal(fahrenheit), "degF", "degC")
    kelvin = convert(Decimal(celsius), "degC", "K")
    assert found is not None
    assert kelvin is not None
    assert abs(found - Decimal(celsius)) < Decimal("1E-10")
    assert abs(kelvin - (Decimal(celsius) + Decimal("273.15"))) < Decimal("1E-20")


@pytest.mark.parametrize(
    ("number", "unit", "to", "wanted"),
    [
        ("3.6", "degF", "degC", "2"),
        ("2", "degC", "K", "2"),
        ("1", "K", "degF", "1.8"),
        ("5", "bar", "kPa", "500"),
    ],
)
def test_differences_of_temperature(number: str, unit: str, to: str, wanted: str) -> None:
    """A difference has no zero to shift: 1 K = 1 degC = 1.8 degF (SP 811, B.9; memory)."""
    found = convert(Decimal(number), unit, to, difference=True)
    assert found is not None
    assert abs(found - Decimal(wanted)) < Decimal("1E-20")


def test_a_deadband_is_a_difference() -> None:
    """A deadband of 3.6 °F reads as 2 °C, and so does one of 2 K."""
    setting = Setting(name="deadband", kind="decimal", unit="°C", step=0.1, role="deadband")
    assert [parse(text, setting, Style()).content for text in ("3.6 °F", "2 K")] == [2, 2]


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [
        ("40 psi", "kPa", "275.7903"),
        ("40psi", "kPa", "275.7903"),
        ("40 PSI", "kPa", "275.7903"),
        ("2.8 bar", "kPa", "280"),
        ("280 kPa", "bar", "2.8"),
        ("0.28 MPa", "kPa", "280"),
        ("280000 Pa", "kPa", "280"),
        ("2.855 kgf/cm2", "kPa", "279.97986"),
        ("100 inH2O", "kPa", "24.90889"),
        ("10 mH2O", "kPa", "98.0665"),
        ("334.6 ftH2O", "kPa", "1000.1418"),
        ("20 inHg", "kPa", "67.72778"),
        ("212 °F", "degC", "100"),
        ("10 ft", "m", "3.048"),
        ("100 gpm", "m³/h", "22.71247"),
        ("10 L/s", "m3/h", "36"),
        ("1e3 mbar", "kPa", "100"),
        ("−5 bar", "kPa", "-500"),
    ],
)
def test_cells_with_a_unit(text: str, unit: str, number: str) -> None:
    """A cell that states another unit is converted by the published factor, and the conversion is shown."""
    value = cell(text, unit)
    assert value.state == "read"
    assert value.number is not None
    assert abs(value.number - Decimal(number)) <= abs(Decimal(number)) * HALF_A_DIGIT
    assert value.converted
    assert value.note.endswith(unit)


def test_the_unit_of_a_column_is_converted_too() -> None:
    """A unit in the heading counts for its cells, and a cell's own unit comes first."""
    assert cell("40", column_unit="psi").number == cell("40 psi").number
    assert cell("280 kPa", column_unit="psi").number == 280


@pytest.mark.parametrize("text", ["280", "280 kPa", "280.00 kpa", "280 KPA", "0280"])
def test_the_setting_s_own_unit_is_not_converted(text: str) -> None:
    """If a cell states the setting's unit, or none, its number is taken as it is."""
    value = cell(text)
    assert value.number == 280
    assert not value.converted


@pytest.mark.parametrize("gauge", ["kPa g", "kPag", "kPa(g)", "kPa gauge", "barg", "bar g", "bar ü", "psig"])
@pytest.mark.parametrize("absolute", ["kPa abs", "kPa a", "kPaa", "kPa(abs)", "bara", "bar abs", "psia"])
def test_gauge_and_absolute_are_never_converted(gauge: str, absolute: str) -> None:
    """They are neither equal nor convertible, whichever way and in whichever unit."""
    assert not equal(gauge, absolute)
    assert convert(Decimal(280), gauge, absolute) is None
    assert convert(Decimal(280), absolute, gauge) is None
    assert cell(f"280 {absolute}", gauge).state == "unclear"
    assert cell(f"280 {gauge}", absolute).state == "unclear"


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [("2.8 barg", "kPa g", "280"), ("2.8 bara", "kPa abs", "280"), ("40 psig", "kPa g", "275.7903")],
)
def test_gauge_converts_into_gauge(text: str, unit: str, number: str) -> None:
    """Two units with the same reference convert as they would without one."""
    found = cell(text, unit).number
    assert found is not None
    assert abs(found / Decimal(number) - 1) < HALF_A_DIGIT


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("280 m", "kPa"),
        ("5 kPa", "m"),
        ("10 °C", "kPa"),
        ("12 mA", "V"),
        ("5 s", "Hz"),
        ("3 L", "L/s"),
        ("9 furlongs", "m"),
        ("5 bit/s", "Hz"),
        ("30 deg", "%"),
        ("20 dBm", "mW"),
    ],
)
def test_what_cannot_be_converted_is_unclear(text: str, unit: str) -> None:
    """A number in another quantity, or in an unknown unit, is not read as a number of the setting."""
    assert cell(text, unit).state == "unclear"


SAME = [
    ("kPa", "kpa", "KPA", " kPa "),
    ("°C", "degC", "deg C", "℃", "° C", "ºC", "˚C", "oC", "C"),
    ("°F", "degF", "℉", "oF"),
    ("µS/cm", "μS/cm", "uS/cm", "US/CM"),
    ("m³/h", "m3/h", "m^3/h", "M3/H"),
    ("m³", "m3", "m^3"),
    ("L", "l"),
    ("L/s", "l/s"),
    ("mL", "ml"),
    ("kgf/cm²", "kgf/cm2", "kgf/cm^2"),
    ("inH2O", "inH2o", "in H2O"),
    ("s", "sec"),
    ("kbit/s", "kbps", "KBIT/S"),
    ("kPa g", "kPag", "kPa(g)", "kPa gauge", "kpa G"),
    ("bar abs", "bara", "bar(a)", "bar absolute", "bar a"),
    ("mS/cm", "ms/cm"),
    ("MPa", "mpa", "MPA"),
]
"""Spellings of one unit: the micro sign and the Greek letter, powers, case where it makes no difference."""


@pytest.mark.parametrize("spellings", SAME, ids=[group[0] for group in SAME])
def test_spellings_of_one_unit(spellings: tuple[str, ...]) -> None:
    """All of them are one unit, so none is reported as a difference and none is converted."""
    for one, other in combinations(spellings, 2):
        assert equal(one, other), f"{one} and {other}"
        assert convert(Decimal("2.5"), one, other) == Decimal("2.5")


def test_different_units_are_different() -> None:
    """No spelling of one unit above is a spelling of another one."""
    for group, others in combinations(SAME, 2):
        assert not any(equal(one, other) for one in group for other in others), f"{group} and {others}"


@pytest.mark.parametrize(
    ("milli", "mega"), [("mPa", "MPa"), ("mS/cm", "MS/cm"), ("mW", "MW"), ("mHz", "MHz"), ("mL", "ML")]
)
def test_milli_is_not_mega(milli: str, mega: str) -> None:
    """As the SI writes them, m and M differ by a factor of a thousand million, and are never confused."""
    assert not equal(milli, mega)
    converted = convert(Decimal(1), mega, milli)
    assert converted in (None, Decimal("1E+9"))


def test_a_megalitre_is_not_a_millilitre() -> None:
    """Waterworks measure in megalitres: 5 ML are 5000 m3, or unclear, but not a few drops."""
    assert cell("5 ML", "m3").number in (None, 5000)


CONVERTIBLE = [
    ("Pa", "kPa", "MPa", "hPa", "bar", "mbar", "psi", "mH2O", "cmH2O", "mmH2O", "ftH2O", "inH2O", "inHg",
     "mmHg", "torr", "atm", "kgf/cm2"),
    ("m", "mm", "cm", "km", "ft", "in"),
    ("L", "mL", "m3", "gal", "gal (UK)", "bbl"),
    ("L/s", "L/min", "L/h", "m3/h", "m3/s", "m3/d", "gpm"),
    ("ms", "s", "min", "h", "d"),
    ("Hz", "kHz", "MHz", "GHz"),
    ("V", "mV"),
    ("A", "mA", "uA"),
    ("W", "mW", "kW"),
    ("uS/cm", "mS/cm", "S/m"),
    ("bit/s", "kbit/s"),
    ("kPa g", "barg", "psig"),
]  # fmt: skip
PAIRS = [(one, other) for group in CONVERTIBLE for one in group for other in group]
NUMBERS = st.decimals(min_value=-(10**9), max_value=10**9, places=6)


@given(NUMBERS, st.sampled_from(PAIRS))
def test_there_and_back(number: Decimal, units: tuple[str, str]) -> None:
    """A number comes back from another unit within one part in 1e12, and zero stays zero."""
    one, other = units
    there = convert(number, one, other)
    assert there is not None
    back = convert(there, other, one)
    assert back is not None
    assert abs(back - number) <= abs(number) * Decimal("1E-12")


@given(NUMBERS, st.sampled_from([("°C", "°F"), ("°F", "°C"), ("°C", "K"), ("K", "°F")]))
def test_temperatures_there_and_back(number: Decimal, units: tuple[str, str]) -> None:
    """Temperatures come back too; near zero the shift between the scales limits how exactly."""
    one, other = units
    there = convert(number, one, other)
    assert there is not None
    back = convert(there, other, one)
    assert back is not None
    assert abs(back - number) <= max(abs(number), Decimal(300)) * Decimal("1E-12")


@given(NUMBERS, st.sampled_from(PAIRS), st.sampled_from(PAIRS))
def test_larger_stays_larger(number: Decimal, units: tuple[str, str], others: tuple[str, str]) -> None:
    """Converting keeps the order of two numbers, so that alarms in order stay in order."""
    for one, other in (units, others):
        there, more = convert(number, one, other), convert(number + 1, one, other)
        assert there is not None
        assert more is not None
        assert there < more
