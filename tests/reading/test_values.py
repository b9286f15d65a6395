"""What a text means for a setting of each kind."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.device import Kind, Setting
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.table import Style
from audit.model.value import BLANK, Code, Content
from audit.reading.codes import is_trivial
from audit.reading.values import parse, plain


def setting(kind: Kind = "decimal", **more: Any) -> Setting:
    """Return a setting of a kind; a decimal shows tenths."""
    more = {"step": 0.1} | more if kind == "decimal" else more
    return Setting(name="x", kind=kind, **more)


def content(text: str, kind: Kind = "decimal", style: Style | None = None, **more: Any) -> Content:
    """Return what a text means, None if it is blank or unclear."""
    return parse(text, setting(kind, **more), style or Style()).content


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("280", 280),
        (" 280 ", 280),
        ("007", 7),
        ("-2.5", Decimal("-2.5")),
        ("−2.5", Decimal("-2.5")),
        ("+3", 3),
        (".5", Decimal("0.5")),
        ("5.", 5),
        ("1e3", 1000),
        ("2.50E-1", Decimal("0.25")),
    ],
)
def test_numbers(text: str, number: Decimal) -> None:
    """Numbers are read exactly, however they are padded, signed or scaled."""
    assert content(text) == number


@pytest.mark.parametrize("text", ['"', "''", "″", "”", "do.", "Ditto"])
@pytest.mark.parametrize("kind", ["text", "option", "flag", "integer"])
def test_a_ditto_mark_is_no_value_of_any_kind(kind: Kind, text: str) -> None:
    """Which row it repeats is lost as soon as rows are sorted; a mapping may say what it means."""
    value = parse(text, setting(kind, options=("on",) if kind == "option" else ()), Style())

    assert (value.state, value.note) == ("unclear", f"{text!r} is a ditto mark; write the value in every row")
    assert content('"', "text", Style(translate=(('"', "1A07"),))) == "1A07"


@pytest.mark.parametrize("text", ["", "   ", "\xa0"])
def test_blank_is_not_read(text: str) -> None:
    """An empty cell has no value, and is distinct from an unclear one."""
    assert parse(text, setting(), Style()) is BLANK


@pytest.mark.parametrize("dash", ["-", "–", "—", "−"])
def test_a_dash_alone_is_not_read(dash: str) -> None:
    """Programs make a longer one of what is typed; before a number only the longest is no minus sign."""
    style = Style(blanks=frozenset(DEFAULT_BLANKS))

    assert parse(dash, setting(), style) is BLANK
    assert parse(f"{dash}5", setting(), style).read == (dash != "—")


def test_words_for_not_read_are_those_of_the_style() -> None:
    """What counts as blank is declared, in upper or lower case."""
    style = Style(blanks=frozenset({"", "n/a"}))

    assert parse("N/A", setting(), style) is BLANK
    assert parse("N/A", setting(), Style()).state == "unclear"


@pytest.mark.parametrize(
    ("text", "decimal", "grouping", "number"),
    [
        ("2,8", ",", "", "2.8"),
        ("1.250,5", ",", ".", "1250.5"),
        ("1.250", ",", ".", "1250"),
        ("1 250,5", ",", " ", "1250.5"),
        ("1'250.5", ".", "'", "1250.5"),
    ],
)
def test_declared_marks(text: str, decimal: str, grouping: str, number: str) -> None:
    """Decimal and grouping marks are taken as declared."""
    assert content(text, style=Style(decimal, grouping)) == Decimal(number)


@pytest.mark.parametrize(
    ("text", "style", "shown"),
    [
        ("9.500", Style(",", "."), "9500 m"),
        ("1.250,50 m", Style(",", "."), "1250.50 m"),
        ("5,90", Style(","), "5.90 m"),
        ("5,90 m", Style(".,"), "5.90 m"),
        ("250,0 cm", Style(","), "250.0 cm = 2.5 m"),
    ],
)
def test_a_number_is_shown_as_it_was_understood(text: str, style: Style, shown: str) -> None:
    """Beside a plan with points 9.500 would look like nine and a half; the text is kept as evidence."""
    assert parse(text, setting(unit="m"), style).shown == shown


def test_an_undeclared_comma_is_unclear_and_says_what_to_declare() -> None:
    """The decimal mark is never guessed; the reader is told how to declare it."""
    value = parse("2,8", setting(), Style())

    assert value.state == "unclear"
    assert "decimal: ','" in value.note


@pytest.mark.parametrize(
    ("text", "decimal", "says"),
    [
        ("1,250", ".", "its decimal mark, or `grouping: ','` if it separates thousands"),
        ("1.250", ",", "its decimal mark, or `grouping: '.'` if it separates thousands"),
        ("1,250.5", ".", "if it separates thousands, state `grouping` (and `decimal`) in a mapping"),
        ("1 250", ".", "if it separates thousands, state `grouping`"),
        ("1'250", ",", "if it separates thousands, state `grouping`"),
        ("1.250,5", ".", "if it separates thousands, state `grouping` (and `decimal`)"),
    ],
)
def test_an_undeclared_mark_between_thousands_says_what_to_declare(
    text: str, decimal: str, says: str
) -> None:
    """That it is not a number helps nobody; to declare a decimal comma would make it 1.25."""
    value = parse(text, setting(), Style(decimal))

    assert value.state == "unclear"
    assert says in value.note


@pytest.mark.parametrize("text", ["abc", "28O", "1 250", "1-2", ".", "-", "12 34", "2026-04-03", "9" * 61])
def test_what_is_no_number_is_unclear(text: str) -> None:
    """A text that is not a number is kept with the reason, and has no value."""
    value = parse(text, setting(), Style())

    assert (value.state, value.content) == ("unclear", None)
    assert value.note


def test_a_formula_without_its_result_says_how_to_get_it() -> None:
    """As a program leaves it that writes workbooks and cannot calculate."""
    assert "open the file in a spreadsheet program and save it" in parse("=0.8*F2", setting(), Style()).note


@pytest.mark.parametrize(("text", "number"), [("3e30 bar", Decimal("3e32")), ("9e37 bar", None)])
def test_numbers_as_far_out_as_two_registers_reach(text: str, number: Decimal | None) -> None:
    """A host that reads the wrong word order shows such numbers; what no register can have is impossible."""
    assert content(text, unit="kPa") == number


@pytest.mark.parametrize("text", [str(2**63), "-" + "9" * 20, "1e25"])
def test_whole_numbers_beyond_64_bits_are_impossible(text: str) -> None:
    """No device has such a number, so the file is at fault."""
    assert parse(text, setting("integer"), Style()).state == "impossible"


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("016", 16),
        ("0x1F", 31),
        ("0o20", 16),
        ("21.0", 21),
        ("2147483648", 2**31),
        (str(2**63 - 1), 2**63 - 1),
    ],
)
def test_whole_numbers(text: str, number: int) -> None:
    """Padded, hexadecimal and spreadsheet spellings of a whole number are the number."""
    found = content(text, "integer")

    assert found == number
    assert isinstance(found, int)


def test_a_fraction_is_no_whole_number() -> None:
    """A whole number with a fraction was read or typed wrongly."""
    assert parse("21.5", setting("integer"), Style()).state == "unclear"


@pytest.mark.parametrize(
    ("text", "unit", "note"),
    [
        ("10.00 m", "mtr", "'10.00 m' cannot be converted to mtr: 'mtr' is not a known unit"),
        ("10.00 m", "kPa", "'10.00 m' cannot be converted to kPa"),
    ],
)
def test_a_unit_of_the_device_type_that_nothing_converts_into_is_named(
    text: str, unit: str, note: str
) -> None:
    """Then the device type has to be corrected, not the reading."""
    assert parse(text, setting(unit=unit), Style()).note == note


def test_a_unit_in_the_cell_is_converted_and_shown() -> None:
    """If cell and setting both state a unit, the value is converted and the conversion shown."""
    value = parse("2.8 bar", setting(unit="kPa"), Style())

    assert value.content == 280
    assert value.converted
    assert value.shown == "2.8 bar = 280 kPa"


def test_the_unit_of_a_column_is_converted_too() -> None:
    """A unit in the heading applies to every cell without one of its own."""
    style = Style(unit="bar")

    assert content("2.8", style=style, unit="kPa") == 280
    assert content("281 kPa", style=style, unit="kPa") == 281


@pytest.mark.parametrize("text", ["3 m", "40 kPa abs", "12 furlongs"])
def test_a_unit_that_cannot_be_converted_is_unclear(text: str) -> None:
    """Other quantities, the other pressure reference and unknown units are not guessed at."""
    assert parse(text, setting(unit="kPa g"), Style()).state == "unclear"


@pytest.mark.parametrize("text", ["50", "50.0", "50 kbit/s", "50kbit/s", " 50 KBIT/S "])
def test_an_option_is_known_in_its_spellings(text: str) -> None:
    """An option is found with its unit, in any case, or as the same number."""
    assert content(text, "option", options=("9.6", "50"), unit="kbit/s") == "50"


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("C", "°C"),
        ("degF", "°F"),
        ("ºC", "°C"),
        ("kPa(g)", "kPa g"),
        ("kPa a", "kPa abs"),
        ("kPa", "kPa"),
        ("K", "K"),
    ],
)
def test_a_unit_among_options_is_known_in_its_usual_spellings(text: str, option: str) -> None:
    """As after a number; whether a bare kPa is gauge or absolute is not known."""
    options = ("°C", "°F", "kPa g", "kPa abs")

    assert content(text, "option", options=options, role="unit") == option
    assert content(text, "option", options=options) == text


def test_a_unit_that_is_two_of_the_options_stays_as_read() -> None:
    """Which of the two the display shows is not guessed."""
    assert content("degC", "option", options=("°C", "C"), role="unit") == "degC"


def test_an_option_that_is_none_stays_as_read() -> None:
    """A text that is not one of the options is still what was read, and a number the same in any spelling."""
    assert content("psi", "option", options=("kPa", "bar")) == "psi"
    for text in ("19.2 kbit/s", "19.20", "19200 bit/s"):
        assert content(text, "option", options=("9.6", "50"), unit="kbit/s") == "19.2"


@pytest.mark.parametrize(
    ("text", "unit", "option", "shown"),
    [
        ("300", "s", "5", "300 s = 5 min"),
        ("600.0", "s", "10", "600.0 s = 10 min"),
        ("5 min", "s", "5", "5 min"),
        ("5", "s", "0.0833333333333333333333333333333333", "5 s = 0.083333 min"),
        ("5", "minutes", "5", "5 min"),
        ("5", "knots", "5", "5 min"),
    ],
)
def test_an_option_under_a_heading_with_another_unit_is_converted(
    text: str, unit: str, option: str, shown: str
) -> None:
    """Five seconds are not five minutes, though 5 is an option; an unknown unit means nothing."""
    value = parse(text, setting("option", options=("5", "10"), unit="min"), Style(unit=unit))

    assert (str(value.content)[:30], value.shown) == (option[:30], shown)


def test_a_text_beside_options_that_are_all_numbers_is_unclear() -> None:
    """`fast` is not an air rate, and nobody is sent out to set another; a text gets no unit."""
    rate = setting("option", options=("9.6", "50"), unit="kbit/s")

    assert parse("fast", rate, Style()).note == "'fast' is not one of 9.6, 50 kbit/s"
    assert parse("fast", setting("option", options=("low", "50"), unit="kbit/s"), Style()).shown == "fast"


@pytest.mark.parametrize(("text", "says"), [("9,6", "decimal: ','"), ("9,7", "is not one of 9.6, 50 kbit/s")])
def test_an_option_with_an_undeclared_comma_says_what_to_declare(text: str, says: str) -> None:
    """As any number does, so that a whole sheet with decimal commas is one cause."""
    value = parse(text, setting("option", options=("9.6", "50"), unit="kbit/s"), Style())

    assert value.state == "unclear"
    assert says in value.note


def test_an_option_is_shown_as_it_was_understood() -> None:
    """With a decimal point, and with the conversion if it is in another unit."""
    rate = setting("option", options=("9.6", "50"), unit="kbit/s")

    assert parse("9,6", rate, Style(",")).shown == "9.6 kbit/s"
    assert parse("9600 bit/s", rate, Style()).shown == "9600 bit/s = 9.6 kbit/s"
    assert parse("9.6kbps", rate, Style()).shown == "9.6kbps"


@pytest.mark.parametrize(
    ("text", "on"), [("on", True), ("YES", True), ("1", True), ("off", False), ("No", False)]
)
def test_flags(text: str, on: bool) -> None:
    """A flag is on or off in the usual words."""
    assert content(text, "flag") is on


def test_a_flag_is_shown_as_it_is_written() -> None:
    """Waivers and earlier results quote it: `alarms_on false, alarm_permit not read` was approved."""
    assert parse("false", setting("flag"), Style()).shown == "false"


def test_identifiers_keep_their_zeros() -> None:
    """07 and 7 are different identifiers, and equal numbers."""
    assert content("07", "text") != content("7", "text")
    assert content("07", "integer") == content("7", "integer")


def test_a_translation_comes_before_reading() -> None:
    """A mapping's words are first translated into the device type's words."""
    style = Style(translate=(("aus", "off"), ("ein", "on")))

    assert content("ein", "flag", style=style) is True


def test_a_translation_may_say_that_a_text_means_nothing_was_read() -> None:
    """Such as the zero that an export writes for a setting that it does not know."""
    assert parse("0", setting("integer"), Style(translate=(("0", ""),))) is BLANK


@pytest.mark.parametrize(("text", "meant"), [("none", "none"), ("NONE", "none"), ("NA", None), ("-", None)])
def test_a_word_for_not_read_is_an_option_where_the_device_has_it(text: str, meant: str | None) -> None:
    """A display that shows NONE was read; a dash is nothing even where an option is a dash."""
    style = Style(blanks=frozenset(DEFAULT_BLANKS))

    assert content(text, "option", style, options=("none", "hold", "-")) == meant
    assert content(text, "text", style) is None


def test_a_code_is_not_kept() -> None:
    """Of an access code only a token and whether it is trivial are kept; nothing shows the code."""
    value = parse("Zq7!vK", setting("secret"), Style())

    assert isinstance(value.content, Code)
    assert "Zq7!vK" not in repr(value)


@pytest.mark.parametrize("text", ["1111", "1234", "4321", "1212", "2001", "123", "abcdef", "admin", "aaaa"])
def test_trivial_codes(text: str) -> None:
    """Repeated, sequential and very common codes are trivial."""
    assert is_trivial(text)


@pytest.mark.parametrize("text", ["8068", "Zq7!vK", "7391", "483920"])
def test_codes_that_are_not_trivial(text: str) -> None:
    """A code without a pattern is not."""
    assert not is_trivial(text)


@given(st.decimals(min_value=-(10**9), max_value=10**9, places=3))
def test_every_decimal_is_read_back_as_written(number: Decimal) -> None:
    """A number written without exponent is read as exactly that number, with point or comma."""
    assert content(f"{number:f}") == number
    assert content(f"{number:f}".replace(".", ","), style=Style(",")) == number


@given(st.text(max_size=30), st.sampled_from(["integer", "decimal", "option", "text", "flag"]))
def test_any_text_has_some_meaning_for_any_kind(text: str, kind: Kind) -> None:
    """No text at all stops the reading of a value."""
    options = ("a", "1") if kind == "option" else ()
    value = parse(text, setting(kind, options=options, unit="kPa"), Style())

    assert value.state in ("read", "blank", "unclear", "impossible")
    assert value.read == (value.content is not None)


@given(st.integers(-(10**12), 10**12), st.integers(0, 6))
def test_plain_numbers_have_no_needless_zeros(whole: int, places: int) -> None:
    """A number is written without exponent and without zeros at the end of its fraction."""
    number = Decimal(whole) / 10**places

    assert Decimal(plain(number)) == number
    assert "E" not in plain(number)
    assert not ("." in plain(number) and plain(number).endswith("0"))


# Point or comma, as a sheet that is filled in by hand declares

EITHER = Style(decimal=".,")


@given(st.decimals(-9999, 9999, places=2, allow_nan=False), st.sampled_from(".,"))
def test_either_mark_reads_as_if_it_were_declared(number: Decimal, mark: str) -> None:
    """If a sheet declares both, each is read as if it alone were declared."""
    setting = Setting(name="high", kind="decimal", step=0.01, unit="kPa")
    text = str(number).replace(".", mark)

    assert parse(text, setting, EITHER).content == parse(text, setting, Style(decimal=mark)).content == number


@pytest.mark.parametrize(
    ("text", "step", "content"),
    [
        ("1,250", 0.001, Decimal("1.250")),
        ("0,250", 0.01, Decimal("0.250")),
        ("1,25", 0.01, Decimal("1.25")),
        ("1250,0", 0.1, Decimal("1250.0")),
        ("1,250", 0.01, None),
        ("-12.000", 1, None),
        ("1,234.5", 0.1, None),
        ("1.234.567", 1, None),
        ("2.805 bar", 1, Decimal("280.5")),
        ("2.805 kPa", 1, None),
    ],
)
def test_what_may_be_thousands_is_unclear(text: str, step: float, content: Decimal | None) -> None:
    """Three digits after a mark, on a display that shows fewer, may be thousands: nothing is guessed."""
    value = parse(text, Setting(name="high", kind="decimal", step=step, unit="kPa"), EITHER)

    assert value.content == content
    assert value.read == (content is not None)
