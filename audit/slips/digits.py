"""Slips of single digits: set one by one at a small display, or typed.

Single errors, transpositions, and digits left out or added are the commonest classes of J. Verhoeff, 'Error
Detecting Decimal Codes', Mathematical Centre Tract 29, Amsterdam 1969, and the four edits of F. J. Damerau,
'A technique for computer detection and correction of spelling errors', Communications of the ACM 7(3), 1964.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal, InvalidOperation
from itertools import product

from audit.slips.around import Key
from audit.slips.case import MOST_LISTED, NOTHING, Case, Reach, key_of

MOST_POSITIONS = 10
"""Most positions in which plan and default may differ; beyond, the identifier is not seen as half set."""

FEWEST_DEFAULT = 2
"""Fewest digits of the default that a value planned for another node has to show."""


def digit_left_default(case: Case) -> Reach:
    """Return values in which every digit that differs from the plan is that of the factory default.

    A single such digit may be chance, and is not counted in an address that is planned for another node.
    """
    if case.default is None or not _in_digits(case) or _sign(case.plan) != _sign(case.default):
        return NOTHING
    plan, default = case.field(case.plan), case.field(case.default)
    if len(plan) != len(default):
        return NOTHING
    choices = [dict.fromkeys(pair) for pair in zip(plan, default, strict=True)]
    unlike = sum(len(choice) > 1 for choice in choices)
    if unlike > MOST_POSITIONS:
        return NOTHING
    mixed = ("".join(digits) for digits in product(*choices))
    taken = {case.field(key) for key in (key_of(case.around.taken),) if key is not None}
    return _of_fields(
        case, (d for d in mixed if d != default and not (d in taken and _unlike(d, plan) < FEWEST_DEFAULT))
    )


def _unlike(one: str, other: str) -> int:
    return sum(digit != its for digit, its in zip(one, other, strict=True))


def one_step(case: Case) -> Reach:
    """Return values with one digit one higher or lower, 9 and 0 being neighbours; or the next options."""
    options = case.setting.options
    if case.setting.kind == "option":
        if case.plan not in options:
            return NOTHING
        at = options.index(str(case.plan))
        steps = (options[at - 1], options[(at + 1) % len(options)])
        return case.reach((option, "the option next to it in the list") for option in steps)
    return _of_fields(case, _stepped(case)) if _in_digits(case) else NOTHING


def _stepped(case: Case) -> Iterator[str]:
    digits = case.field(case.plan)
    for at, digit in enumerate(digits):
        if "0" <= digit <= "9":
            for step in (1, 9):
                yield digits[:at] + str((int(digit) + step) % 10) + digits[at + 1 :]


def transposed(case: Case) -> Reach:
    """Return values with two neighbouring, unequal characters swapped."""
    if not _in_digits(case):
        return NOTHING
    field = case.field(case.plan)
    return _of_fields(
        case,
        (
            field[:at] + field[at + 1] + field[at] + field[at + 2 :]
            for at in range(len(field) - 1)
            if field[at] != field[at + 1] and field[at : at + 2].isalnum()
        ),
    )


def left_justified(case: Case) -> Reach:
    """Return the value with its leading zeros moved to the end: 0037 becomes 3700.

    With decimal places this would be a shifted point, and is called that.
    """
    if not _in_digits(case) or case.places:
        return NOTHING
    field = case.field(case.plan)
    number = field.lstrip("0")
    return _of_fields(case, [number + "0" * (len(field) - len(number))])


def dropped_doubled(case: Case) -> Reach:
    """Return values with one character left out or doubled."""
    return case.reach(_dropped_doubled(case)) if _in_digits(case) else NOTHING


def _dropped_doubled(case: Case) -> Iterator[tuple[Key, str]]:
    text = case.text(case.plan)
    for at, character in enumerate(text):
        if character.isalnum():
            for other, words in (
                (text[:at] + text[at + 1 :], "one digit left out"),
                (text[:at] + character + text[at:], "one digit doubled"),
            ):
                key = _number(other) if case.numeric else other
                if key is not None:
                    yield key, words


def zeros_lost(case: Case) -> Reach:
    """Return an identifier of digits with fewer leading zeros, or with more, up to the width of the field."""
    text = str(case.plan)
    if case.setting.kind != "text" or not (text.isascii() and text.isdigit()):
        return NOTHING
    bare = text.lstrip("0") or "0"
    widest = max(case.setting.digits or 0, len(text))
    return case.reach(
        (bare.zfill(width), "" if width < len(text) else "leading zeros added, or lost in the plan")
        for width in range(len(bare), min(widest, MOST_LISTED) + 1)
    )


def _of_fields(case: Case, fields: Iterable[str]) -> Reach:
    """Return the values of the fields that are as wide as the plan's when shown without leading zeros."""
    width = len(case.field(case.plan))
    keys = map(case.of_field, fields)
    return case.reach_plain(key for key in keys if len(case.field(key)) == width)


def _in_digits(case: Case) -> bool:
    """Tell whether a value is set or typed digit by digit."""
    return case.setting.kind in ("integer", "decimal", "text")


def _sign(key: Key) -> bool:
    return isinstance(key, Decimal) and key < 0


def _number(text: str) -> Decimal | None:
    try:
        return Decimal(text)
    except InvalidOperation:
        return None
