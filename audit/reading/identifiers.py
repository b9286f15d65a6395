"""Identifiers: tags and serial numbers as they are written, spelt, and damaged by spreadsheets."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

LOOK_ALIKE = ("0O", "1Il", "5S", "8B", "2Z")
"""Characters that are mistaken for each other."""
FOLDED = str.maketrans({letter: group[0] for group in LOOK_ALIKE for letter in group[1:]})
"""Each of these → the first one of its group."""


def bare(text: str) -> str:
    """Return an identifier without surrounding blanks and with single spaces inside."""
    found = " ".join(text.split())
    return text if found == text else found  # usually equal, and then not kept twice


def all_bare(texts: Sequence[str]) -> Sequence[str]:
    """Return identifiers as `bare` makes them; the texts themselves if none has a blank or is empty."""
    return texts if " ".join(texts).split() == texts else list(map(bare, texts))


_IN_GROUPS = re.compile(r"\s*\d{3,}(?:[ -]\d{3,}){2,}\s*")
"""A long number in groups of digits, as labels print a serial number: `4021 1830 0101`.

Two groups may as well be two numbers, such as a year and a number of that year.
"""
_BETWEEN_NUMBERS = re.compile(r"(?<=\d)[\W_]+(?=\d)")
_PUNCTUATION = re.compile(r"[^\w-]+|_+|(?<!\d)-|-(?!\d)")
_WHOLE = re.compile(r"(\d+)[.,]0+")
_ZEROS = re.compile(r"(?<!\d)0+(?=\d)")


def spelling(identifier: str) -> str:
    """Return an identifier without case, punctuation, or leading zeros of its numbers: `pt 07` like `PT-7`.

    People and spreadsheets vary tags and serial numbers in these; two that agree here name one device. Two
    numbers stay separated by what is between them: `3-4` is not `34`. Only three groups or more, with
    nothing beside them, are one number: `4021 1830 0101` is `402118300101`. Zeros after a point are dropped
    only where a program has turned a whole number into a decimal: `510011.0` is `510011`.
    """
    if whole := _WHOLE.fullmatch(identifier):
        identifier = whole[1]
    elif _IN_GROUPS.fullmatch(identifier):
        identifier = re.sub(r"[\s-]", "", identifier)
    text = _BETWEEN_NUMBERS.sub("-", identifier.casefold())
    return _ZEROS.sub("", _PUNCTUATION.sub("", text))


_ASIDE = re.compile(r"(?:[^\w\n]|[_0])+")


def letters_and_digits(identifiers: Sequence[str]) -> list[str]:
    """Return identifiers, none of which contains a line end, without case, punctuation and zeros.

    Identifiers with the same `spelling` have the same result here, and this is much faster.
    """
    return _ASIDE.sub("", "\n".join(identifiers).casefold()).split("\n")


_RUNS = re.compile(r"[0-9]+|[^0-9]+")


def natural(identifier: str) -> tuple[tuple[int, int, str, str], ...]:
    """Return a key that sorts identifiers as people do: PT-9 comes before PT-10."""
    return tuple(_by_number(run) if run[0] in "0123456789" else (1, 0, run, "")
                 for run in _RUNS.findall(identifier))  # fmt: skip


def _by_number(digits: str) -> tuple[int, int, str, str]:
    """Return a key that sorts digits by their number, which may be longer than `int` accepts."""
    number = digits.lstrip("0")
    return 0, len(number), number, digits


_POWER_FORM = re.compile(r"\d(?:[.,]\d+)?[eE]\+?\d+")


def damaged(identifier: str) -> bool:
    """Return whether a spreadsheet has rounded an identifier: `4.02E+11`, or zeros after 15 digits."""
    if len(identifier) < 16 and "e" not in identifier and "E" not in identifier:
        return False
    return bool(_POWER_FORM.fullmatch(identifier)) or (
        identifier.isdigit() and len(identifier) > 15 and set(identifier[15:]) == {"0"}
    )


def lost_from(text: str, identifier: str) -> bool:
    """Return whether a spreadsheet turns an identifier into a damaged text: 402118300101 into `4.02E+11`."""
    if not (damaged(text) and identifier.isascii() and identifier.isdigit()):
        return False
    if text.isdigit():
        return len(text) == len(identifier) and text[:15] == identifier[:15]
    number = text.replace(",", ".").upper()
    places = len(number.partition("E")[0].partition(".")[2])
    return Decimal(number) == Decimal(f"{Decimal(identifier):.{places}E}")


def mistyped(found: str, planned: str) -> bool:
    """Return whether an identifier may be the planned one, mis-keyed.

    It may if characters look alike, two neighbours are swapped, or one is left out or doubled; not if one
    differs by one, since that is the next device out of the same box.
    """
    unlike = (n for n, (one, other) in enumerate(zip(found, planned, strict=False)) if one != other)
    n = next(unlike, min(len(found), len(planned)))
    exchanged = planned[:n] + planned[n : n + 2][::-1] + planned[n + 2 :]
    doubled = planned[:n] + planned[max(n - 1, 0) : n] + planned[n:]
    slips = (exchanged, planned[:n] + planned[n + 1 :], doubled)
    return found != planned and (found in slips or found.translate(FOLDED) == planned.translate(FOLDED))
