"""What a typed text means for a setting, and what no display of its type could show."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.entering.accepting import Accepted, Refused, accept, agrees, expects, meaning_of
from audit.model.device import Setting
from audit.model.entry import Entry
from audit.model.value import BLANK


def setting(**keys: Any) -> Setting:
    """Return a setting, a decimal in kPa unless stated."""
    return Setting.model_validate({"name": "it", "kind": "decimal", "unit": "kPa", "step": 0.5} | keys)


def taken(text: str, of: Setting, decimal: str = ".") -> Accepted:
    """Return what was accepted."""
    found = accept(text, of, decimal)
    assert isinstance(found, Accepted), found
    return found


def refused(text: str, of: Setting, decimal: str = ".") -> Refused:
    """Return what was refused."""
    found = accept(text, of, decimal)
    assert isinstance(found, Refused), found
    return found


RADIO = setting(kind="integer", unit="", step=None, low=1, high=40, digits=2)
ID = setting(kind="text", unit="", step=None, digits=4)
RATE = setting(kind="option", unit="kbit/s", step=None, options=("4.8", "50"))
INTERVAL = setting(kind="integer", unit="s", step=None, low=5, high=3600, digits=4)
LOCK = setting(kind="flag", unit="", step=None)

TAKEN = [
    (setting(kind="option", unit="", step=None, options=("none", "hold")), "none", "none", "", "none"),
    (setting(), "812.5", "812.5", "", Decimal("812.5")),
    (setting(), " 812.50 ", "812.50", "", Decimal("812.5")),
    (setting(), "812.5kPa", "812.5", "kPa", Decimal("812.5")),
    (setting(), "8.125 bar", "8.125", "bar", Decimal("812.5")),
    (setting(), "−2.5", "-2.5", "", Decimal("-2.5")),  # the minus sign that word processors write
    (setting(low=0, high=1000), "10 bar", "10", "bar", Decimal(1000)),
    (setting(), "1.5e32", "1.5e32", "", Decimal("1.5e32")),  # as the wrong word order shows
    (setting(low=0, high=1000), "145.04 psi", "145.04", "psi", None),  # 1000.02 kPa: within half a step
    (setting(unit="m", step=0.01), "8 m", "8", "m", Decimal(8)),
    (setting(step=5), "15", "15", "", Decimal(15)),
    (setting(step=5, low=2), "17", "17", "", Decimal(17)),
    (RADIO, "7", "7", "", 7),
    (RADIO, "07", "07", "", 7),
    (RADIO, "0x1A", "0x1A", "", 26),
    (INTERVAL, "5 min", "5", "min", Decimal(300)),
    (ID, "0A7Z", "0A7Z", "", "0A7Z"),
    (RATE, "50", "50", "", "50"),
    (RATE, "50 kbit/s", "50 kbit/s", "", "50"),
    (LOCK, "On", "On", "", True),
]


@pytest.mark.parametrize(("of", "text", "value", "unit", "content"), TAKEN)
def test_what_a_display_can_show_is_taken(
    of: Setting, text: str, value: str, unit: str, content: object
) -> None:
    """The text stays as typed, with its unit apart, and has its meaning in the setting's own unit."""
    found = taken(text, of)

    assert (found.value, found.unit) == (value, unit)
    assert content is None or found.meaning.content == content


REFUSED = [
    (setting(), "812,5", "has a comma; the decimal mark here is the point, unless --decimal", True),
    (setting(), "1.250,5", "is not a number", True),
    (setting(), "812.3", "812.3 kPa is between two steps of the display, which shows steps of 0.5", True),
    (setting(step=5), "17", "between two steps", True),
    (setting(high=1000), "10.1 bar", "10.1 bar = 1010 kPa is above 1000, the highest", True),
    (setting(high=1000), "145.1 psi", "is above 1000, the highest", True),  # by more than half a step
    (setting(low=-100), "-100.5", "is below -100, the lowest", True),
    (setting(), "8 m", "cannot be converted to kPa", True),
    (setting(unit="kPa g"), "812.5 kPa a", "cannot be converted to kPa g", True),
    (setting(), "8 furlong", "is not a number with a known unit", True),
    (setting(), "2026-03-31", "is a date, not a number", True),
    (setting(), "1e40", "is beyond any setting of a device", False),
    (RADIO, "41", "41 is above 40", True),
    (RADIO, "007", "has more digits than the display, which shows 2", True),
    (RADIO, "7.5", "is not a whole number", True),
    (RADIO, "7 m", "has a unit, but it has none", True),
    (ID, "A7Z", "'A7Z' has 3 characters, the display shows 4; leading zeros count", True),
    (ID, "00A7Z", "has 5 characters", True),
    (ID, "A\u200e7Z", "character that no display shows", False),
    (ID, "A7\x1bZ", "character that no display shows", False),
    (RATE, "9.6", "is not one of: 4.8, 50", True),
    (LOCK, "perhaps", "is neither on nor off", True),
    (ID, "not read", "is not a value; /skip", False),
    (ID, "  ", "is not a value; /skip", False),
]


@pytest.mark.parametrize(("of", "text", "says", "keepable"), REFUSED)
def test_what_no_display_shows_is_refused(of: Setting, text: str, says: str, keepable: bool) -> None:
    """The reason is given; what a readback could hold may still be kept."""
    found = refused(text, of)

    assert says in found.why
    assert (found.kept is not None) == keepable


def test_the_comma_is_the_decimal_mark_where_it_is_declared() -> None:
    """A mark is declared, never guessed: the other one is refused."""
    assert taken("812,5", setting(), ",").meaning.content == Decimal("812.5")
    assert taken("812,5", setting(), ",").value == "812,5"
    assert "has a point; the decimal mark here is the comma" in refused("812.5", setting(), ",").why


@pytest.mark.parametrize(("text", "decimal", "mark"), [("1.234", ",", "comma"), ("1,234", ".", "point")])
def test_another_mark_is_told_by_the_option_of_enter_and_not_by_a_mapping(
    text: str, decimal: str, mark: str
) -> None:
    """Three places could also be thousands in the file; mappings are for tables, and none is read here."""
    why = refused(text, setting(step=0.01), decimal).why

    assert why.endswith(f"the decimal mark here is the {mark}, unless --decimal says otherwise")


numbers = st.decimals(-9999, 9999, places=1, allow_nan=False).map(lambda n: f"{n:.1f}")
UNITS = ["", "kPa", "bar", "psi", "mbar", "mH2O", "m", "kPa g", "°C"]


@given(numbers, st.sampled_from(UNITS), st.sampled_from(["", " "]), st.sampled_from(".,"))
def test_the_file_means_what_was_typed(number: str, unit: str, blank: str, decimal: str) -> None:
    """Number and unit apart, read back with either decimal mark, mean the same as the text that was typed."""
    of = setting(step=0.1)
    found = accept(f"{number}{blank}{unit}".replace(".", decimal), of, decimal)
    kept = found if isinstance(found, Accepted) else found.kept
    assert kept is not None

    entry = Entry(asfound="entry/1", tag="N-1", setting="it", value=kept.value, unit=kept.unit)
    back = meaning_of(entry, of)

    assert (back.state, back.content) == (kept.meaning.state, kept.meaning.content)


@given(st.text(min_size=1, max_size=30), st.sampled_from([setting(), RADIO, ID, RATE, LOCK, INTERVAL]))
def test_any_text_is_taken_or_refused_in_words(text: str, of: Setting) -> None:
    """No text makes a fault, and what may be kept is printable and not blank."""
    found = accept(text, of, ".")
    kept = found if isinstance(found, Accepted) else found.kept

    assert isinstance(found, Accepted) or found.why
    assert kept is None or (kept.value.strip() and kept.value.isprintable())


def test_serial_numbers_agree_in_any_spelling() -> None:
    """Blanks, case and hyphens do not matter in a serial number; in other identifiers they do."""
    serial = setting(name="serial", kind="text", unit="", step=None)
    one, other = (taken(text, serial).meaning for text in ("AB 0410", "ab410"))

    assert agrees(one, other, serial)
    assert not agrees(one, other, ID)
    assert not agrees(one, BLANK, serial)


def test_a_rounded_serial_number_is_refused() -> None:
    """A number that a spreadsheet has rounded is not a serial number."""
    serial = setting(name="serial", kind="text", unit="", step=None)

    assert "has lost its digits" in refused("4.02E+11", serial).why


EXPECTS = [
    (RADIO, "1 to 40"),
    (INTERVAL, "5 to 3600 s"),
    (setting(low=-2.5, high=5), "-2.5 to 5 kPa, steps of 0.5"),
    (setting(), "a number in kPa, steps of 0.5"),
    (setting(low=0), "at least 0 kPa, steps of 0.5"),
    (setting(high=9.6, unit="m", step=0.01), "at most 9.6 m, steps of 0.01"),
    (setting(kind="integer", unit="", step=None), "a number"),
    (ID, "4 characters"),
    (RATE, "one of: 4.8, 50 kbit/s"),
    (LOCK, "on or off"),
]


@pytest.mark.parametrize(("of", "words"), EXPECTS)
def test_what_a_setting_takes_is_told_before_it_is_typed(of: Setting, words: str) -> None:
    """Range, step, width and options of the device type, in words."""
    assert expects(of) == words


@pytest.mark.parametrize(("text", "decimal"), [("1.250", "."), ("1,250", ","), ("12.500", ".")])
def test_what_check_would_not_understand_is_refused_at_once(text: str, decimal: str) -> None:
    """In the file either mark may be decimal, so three places could be thousands."""
    of = setting(step=0.01)

    assert refused(text, of, decimal).why == (
        f"{text!r} may be taken for thousands when the file is read; leave out the zero at its end"
    )
    assert taken("1.25", of).value == "1.25"
