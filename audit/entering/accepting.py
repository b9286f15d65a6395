"""What a typed text means for a setting, and why it cannot be what the device shows.

The legal range, the options, the display's resolution and its width are enforced as typed. What is
refused can still be kept (`/keep`), since a device may show what its type says it cannot; only what no
readback could hold is refused for good.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from audit.comparing import same
from audit.model.device import Setting
from audit.model.entry import Entry
from audit.model.table import Style, tidied
from audit.model.value import Value
from audit.reading.entry_table import STYLE
from audit.reading.identifiers import damaged, spelling
from audit.reading.trials import noted_code
from audit.reading.values import EXACT, means_not_read, parse, plain
from audit.reading.written_numbers import OTHER_MARK, number_and_unit, other_mark, without_advice

LONGEST = 200
"""Longest text that is accepted as a value: no display shows more."""


@dataclass(frozen=True, slots=True)
class Accepted:
    """A value as it goes into the file, and what it means."""

    value: str
    unit: str
    meaning: Value


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a text is not accepted, and what is recorded if the device really shows it."""

    why: str
    kept: Accepted | None = None


def accept(text: str, setting: Setting, decimal: str) -> Accepted | Refused:
    """Return what a typed text means for a setting; `decimal` is the decimal mark that is typed."""
    style = replace(STYLE, decimal=decimal)
    text = tidied(text)
    if means_not_read(text, setting, style):
        return Refused(f"{text!r} is not a value; /skip leaves the setting out")
    if len(text) > LONGEST:
        return Refused(f"that is longer than {LONGEST} characters; /note takes longer texts")
    if not text.isprintable():
        return Refused("that contains a character that no display shows; type it again")
    if noted_code(text, setting):
        return Refused("that may contain an access code, and codes are never saved; type what is shown")
    value, unit = text, ""
    if setting.numeric:
        value, unit = number_and_unit(text, style)
    meaning = parse(text, setting, style)
    if meaning.state == "impossible":
        return Refused(meaning.note)
    if setting.role == "default_refused" and not meaning.read:
        return Refused(meaning.note)  # no display shows it, and it may be the code
    accepted = Accepted(value, unit, meaning)
    why = _why_not(text, meaning, setting, style) or _beyond(value, meaning, setting)
    return Refused(why, accepted) if why else accepted


def meaning_of(entry: Entry, setting: Setting) -> Value:
    """Return what an entry of the file means."""
    text = f"{entry.value} {entry.unit}" if entry.unit else entry.value
    return parse(text, setting, STYLE)


def agrees(one: Value, other: Value, setting: Setting) -> bool:
    """Tell whether two values of a setting are the same; the spelling of a serial number does not matter."""
    if not (one.read and other.read):
        return False
    if setting.name == "serial":
        return spelling(str(one.content)) == spelling(str(other.content))
    return same(one, other, setting)


def expects(setting: Setting) -> str:
    """Return what a setting takes, in words; this reveals nothing of the plan."""
    unit = f" {setting.unit}" if setting.unit else ""
    if setting.kind == "option":
        return f"one of: {', '.join(setting.options)}{unit}"
    if setting.kind == "flag":
        return "on or off"
    if setting.kind == "text":
        return f"{setting.digits} characters" if setting.digits else "as it is shown"
    parts = []
    limits = [plain(limit) for limit in (setting.low, setting.high) if limit is not None]
    if len(limits) == 2:
        parts.append(f"{limits[0]} to {limits[1]}{unit}")
    elif limits:
        parts.append(f"{'at least' if setting.low is not None else 'at most'} {limits[0]}{unit}")
    else:
        parts.append(f"a number in {setting.unit}" if unit else "a number")
    if setting.kind == "decimal" and setting.step:
        parts.append(f"steps of {plain(setting.step)}")
    return ", ".join(parts)


def _why_not(text: str, meaning: Value, setting: Setting, style: Style) -> str:
    """Return why a text is not a value of the setting's kind, empty if it is one."""
    other = other_mark(style)
    read = parse(text, setting, STYLE)  # as `asfound check` will read it
    if meaning.state == "unclear" and other in text and (read.read or OTHER_MARK in meaning.note):
        name = {",": "comma", ".": "point"}
        here = f"the decimal mark here is the {name[style.decimal]}, unless --decimal says otherwise"
        return f"{text!r} has a {name[other]}; {here}"
    if meaning.read and read.state == "unclear" and text.endswith("0"):
        return f"{text!r} may be taken for thousands when the file is read; leave out the zero at its end"
    unclear = [value for value in (meaning, read) if value.state == "unclear"]
    if unclear:
        return without_advice(unclear[0].note)
    if setting.kind == "option" and meaning.content not in setting.options:
        return f"{text!r} is not one of: {', '.join(setting.options)}"
    if setting.name == "serial" and damaged(text):
        return f"{text!r} has lost its digits; type all of them from the label"
    return ""


def _beyond(value: str, meaning: Value, setting: Setting) -> str:
    """Return why the device could not show a value of the right kind, empty if it could."""
    if setting.digits and setting.kind == "text" and len(value) != setting.digits:
        count = f"{len(value)} character{'s' if len(value) > 1 else ''}"
        return f"{value!r} has {count}, the display shows {setting.digits}; leading zeros count too"
    number = meaning.number
    if number is None or not setting.numeric:
        return ""
    if setting.digits and not meaning.converted and sum(map(str.isdigit, value)) > setting.digits:
        return f"{value!r} has more digits than the display, which shows {setting.digits}"
    step = setting.display_step
    slack = step / 2 if meaning.converted else Decimal(0)
    for limit, beyond in ((setting.low, -1), (setting.high, 1)):
        if limit is not None and (number - Decimal(str(limit))) * beyond > slack:
            side = "below" if beyond < 0 else "above"
            return f"{meaning.shown} is {side} {plain(limit)}, the {'lowest' if beyond < 0 else 'highest'} " \
                   "that the device accepts"  # fmt: skip
    if setting.kind == "decimal" and setting.step and not meaning.converted:
        start = Decimal(str(setting.low)) if setting.low is not None else Decimal(0)
        if EXACT.remainder(number, step) and EXACT.remainder(EXACT.subtract(number, start), step):
            return f"{meaning.shown} is between two steps of the display, which shows steps of {plain(step)}"
    return ""
