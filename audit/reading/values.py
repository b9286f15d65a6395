"""Values: what a text means for a setting of a given kind, written in a given style."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from decimal import Context, Decimal

from audit.model.device import Setting
from audit.model.roles import DIFFERENCES, TRIALS
from audit.model.table import MERGED, NO_UNIT, NOT_LABELLED, NOT_TWO, Style, tidied
from audit.model.value import BLANK, Value
from audit.reading import units
from audit.reading.codes import code
from audit.reading.heard import NO_TIME, NOT_HEARD, why_not_heard
from audit.reading.trials import NO_TRIAL, concealed, trial
from audit.reading.written_numbers import (
    OTHER_BASE,
    OTHER_MARK,
    may_be_thousands,
    other_mark,
    pattern,
    why_no_number,
    why_no_value,
    with_point,
)

FARTHEST = Decimal("3.4028235e38")
"""The largest number in two registers (IEEE 754-2019, binary32), as a host with wrong word order shows."""
EXACT = Context(prec=100)
"""Digits for any number up to FARTHEST in any step or unit; a remainder needs more than the usual 28."""
LARGEST = 2**63 - 1
"""No device has a larger whole number; a longer one is an error in the export."""

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}(T.*)?")
DITTO = {'"', "''", *"\u2033\u201d\u201e\u3003"} | {
    case(word) for word in ("do.", "dito", "ditto") for case in (str.lower, str.title, str.upper)
}
"""What means 'as above', without surrounding blanks."""
_FLAGS = {
    **dict.fromkeys(("yes", "on", "true", "1", "enabled", "open", "locked", "active"), True),
    **dict.fromkeys(("no", "off", "false", "0", "disabled", "closed", "unlocked", "inactive"), False),
}


def parse(text: str, setting: Setting, style: Style) -> Value:
    """Return what a text means for a setting.

    The value is blank for a text that means 'not read', and unclear, with the reason, for one that cannot
    be a value of this kind. Nothing is guessed: the decimal mark and the unit are declared.
    """
    if means_not_read(text, setting, style):
        return BLANK
    text = tidied(text)
    if text.startswith((MERGED, NOT_TWO, NOT_LABELLED, NO_UNIT)):
        return _unclear(*why_no_value(text, style))
    if setting.kind == "secret":
        return Value(code(text))
    if style.translate:
        text = dict(style.translate).get(text, text)
    if text in DITTO:
        return _unclear(text, "is a ditto mark; write the value in every row")
    if setting.role == "last_heard" and text.casefold() in (*NOT_HEARD, NO_TIME):
        return Value("never", shown=text)
    if setting.numeric:
        value = _number(text, setting, style)
        if setting.role == "last_heard" and value.state == "unclear" and OTHER_MARK not in value.note:
            return _unclear(value.shown, why_not_heard(text))
        return value
    if setting.kind == "flag":
        content = _FLAGS.get(text.casefold())
        if content is None:
            return _unclear(text, "is neither on nor off, yes nor no")
        return Value(content, shown=text)
    if setting.role == "default_refused" and (text := trial(text)).casefold() not in TRIALS:
        return _unclear(concealed(text), NO_TRIAL)
    if setting.kind == "option":
        return _option(text, setting, style)
    return Value(text, shown=text)


def means_not_read(text: str, setting: Setting, style: Style) -> bool:
    """Return whether a text, as it is or as the mapping translates it, means that nothing was read."""
    if dict(style.translate).get(tidied(text)) == "":
        return True
    return style.is_blank(text) and not _is_option_in_words(text, setting)


def _is_option_in_words(text: str, setting: Setting) -> bool:
    """Return whether a text that usually means 'not read', such as none, is what the device itself shows."""
    word = tidied(text).casefold()
    return word.isalpha() and word in map(str.casefold, setting.options)


def with_unit(text: str, setting: Setting) -> str:
    """Return a text followed by the setting's unit, unless it is already there."""
    if not setting.unit or text.endswith(setting.unit):
        return text
    return f"{text} {setting.unit}"


def plain(number: Decimal | int | float) -> str:
    """Return a number without exponent and without trailing zeros after the point."""
    text = f"{Decimal(str(number)):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_short(number: Decimal) -> str:
    """Return the result of a conversion without meaningless decimal places."""
    return plain(EXACT.quantize(number, Decimal("1e-6")))


def _unclear(text: str, why: str) -> Value:
    return Value(None, "unclear", shown=text, note=f"{text!r} {why}")


def _number(text: str, setting: Setting, style: Style) -> Value:
    if len(text) > 60:
        return _unclear(f"{text[:57]}…", "is too long for a number")
    if OTHER_BASE.fullmatch(text):
        return Value(int(text, 0), shown=text)
    if _DATE.fullmatch(text):
        return _unclear(text, "is a date, not a number: a spreadsheet may have changed what was typed")
    found = pattern(style.decimal, style.grouping).fullmatch(text)
    if found is None or not (found["whole"] or found["part"]):
        return _unclear(text, why_no_number(text, style))
    if len(style.decimal) > 1 and may_be_thousands(found, setting):
        return _unclear(text, "may be thousands or thousandths; write it without a thousands separator")
    if found["unit"] and not units.known(found["unit"]) and not units.equal(found["unit"], setting.unit):
        return _unclear(text, "is not a number with a known unit")
    digits = (found["whole"] or "0").replace(style.grouping or " ", "")
    number = Decimal(f"{found['sign']}{digits}.{found['part'] or '0'}{found['power'] or ''}")
    understood = with_point(text, found, style)
    return _in_unit(understood, number, found["unit"] or style.unit, setting, bool(found["unit"]))


def _in_unit(text: str, number: Decimal, unit: str, setting: Setting, in_cell: bool) -> Value:
    shown = text if in_cell or not unit else f"{text} {unit}"
    converted, note = False, ""
    if unit and not units.equal(unit, setting.unit):
        if not setting.unit:
            return _unclear(shown, f"has a unit, but {setting.name} has none")
        result = units.convert(number, unit, setting.unit, difference=setting.role in DIFFERENCES)
        if result is None:
            odd = next((f": {name!r} is not a known unit" for name in (unit, setting.unit)
                        if not units.known(name)), "")  # fmt: skip
            return _unclear(shown, f"cannot be converted to {setting.unit}{odd}")
        converted = result != number
        if converted and abs(result) <= FARTHEST:
            note = f"{shown} = {in_short(result)} {setting.unit}"
        number = result
    elif not in_cell:
        shown = with_unit(text, setting)
    if setting.kind == "integer" and not converted:
        if number != number.to_integral_value():
            return _unclear(shown, "is not a whole number")
        if abs(number) > LARGEST:
            return Value(None, "impossible", shown=shown, note=f"{text!r} is beyond any whole number "
                         "that a device can have")  # fmt: skip
        return Value(int(number), shown=shown)
    if abs(number) > FARTHEST:
        return Value(None, "impossible", shown=shown, note=f"{text!r} is beyond any setting of a device")
    return Value(number, shown=note or shown, note=note, converted=converted)


def _option(text: str, setting: Setting, style: Style) -> Value:
    """Return the option that is meant, or the text itself if it is not an option but might be one.

    A unit is recognised in its usual spellings, kPa(g) for kPa g; kPa alone may be gauge or absolute.
    If all options are numbers, as with air rates, a text that is not a number is unclear; any other
    number is taken as it is.
    """
    as_converted = is_number(text) and _is_converted(style.unit, setting.unit)
    if text in setting.options and not as_converted:
        return Value(text, shown=with_unit(text, setting))
    folded = {option.casefold().replace(" ", ""): option for option in setting.options}
    key = text.casefold().replace(" ", "")
    unit = setting.unit.casefold().replace(" ", "")
    for written in (key, key.removesuffix(unit)):
        if written in folded and not as_converted:
            return Value(folded[written], shown=with_unit(text, setting))
    if setting.role == "unit":
        spelled = [option for option in setting.options if units.equal(option, text)]
        if len(spelled) == 1:
            return Value(spelled[0], shown=text)
    numbers = [_as_decimal(option) for option in setting.options]
    number = _number(text, setting, style)
    if number.read and number.content in numbers:
        return Value(setting.options[numbers.index(number.number)], shown=number.shown)
    if not number.read and numbers and None not in numbers:
        other = replace(style, decimal=other_mark(style), grouping="")
        if _number(text, setting, other).content in numbers:
            return _unclear(text, why_no_number(text, style))
        return _unclear(text, f"is not one of {with_unit(', '.join(setting.options), setting)}")
    if number.number is None:
        return Value(text, shown=text)
    return Value(plain(number.number), shown=number.shown)


def _is_converted(unit: str, to: str) -> bool:
    """Return whether numbers in a unit stated in a heading change when converted to the setting's unit."""
    return bool(unit) and units.convert(Decimal(1), unit, to) not in (None, 1)


def _as_decimal(text: str) -> Decimal | None:
    try:
        return Decimal(text)
    except ArithmeticError:
        return None


def number_of(value: Value, setting: Setting) -> Decimal | None:
    """Return the number of a value, or of an option whose text is a number."""
    if setting.kind == "option" and isinstance(value.content, str) and is_number(value.content):
        return Decimal(value.content)
    return value.number


def seconds_of(value: Value, setting: Setting) -> float | None:
    """Return a value in seconds, for a setting in a unit of time or without one; None if it has no number."""
    number = number_of(value, setting)
    seconds = None if number is None else units.convert(number, setting.unit or "s", "s")
    return None if seconds is None else float(seconds)


def is_number(text: str) -> bool:
    """Return whether a text is a plain finite number."""
    try:
        return text.strip().isascii() and "_" not in text and math.isfinite(float(text))
    except ValueError:
        return False


def default_value(setting: Setting) -> Value | None:
    """Return the factory default of a setting; None if there is none or it is an access code."""
    if setting.default is None or setting.kind == "secret":
        return None
    return parse(str(setting.default), setting, Style())


def expected(setting: Setting) -> str:
    """Return what a setting accepts, for messages."""
    if setting.kind == "option":
        return "give one of: " + ", ".join(setting.options)
    words = {"integer": "a whole number", "decimal": "a number", "flag": "on or off, yes or no"}
    unit = f", in {setting.unit} or followed by its unit" if setting.unit else ""
    return f"give {words.get(setting.kind, 'a text')}{unit}"
