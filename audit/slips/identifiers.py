"""Slips of identifiers: look-alike characters, and what spreadsheets make of text."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from functools import partial
from math import prod

from audit.model.table import Style
from audit.reading.dates import days_like, made_of
from audit.reading.identifiers import FOLDED, LOOK_ALIKE, damaged
from audit.reading.values import parse
from audit.slips.around import Key
from audit.slips.case import NOTHING, Case, Reach

_ALIKE = {character: group for group in LOOK_ALIKE for character in group}
OTHER_CASE = "capitals and small letters mixed up"
MANGLED_FORMS = 82
"""Values that a day without a year could become: a date or a serial number in each of 41 years."""
SIGNIFICANT = 15
"""Decimal digits that a spreadsheet keeps of a number, which is an IEEE 754 binary64."""


def look_alike(case: Case) -> Reach:
    """Return texts that differ from the planned one only in look-alike characters or in capitals."""
    if case.setting.kind not in ("text", "integer", "decimal"):
        return NOTHING
    text = case.text(case.plan)
    values = {} if case.numeric else case.reach_plain(_one_replaced(text)).values
    count = prod(len(_ALIKE.get(character, "x")) for character in text) - 1
    other_case = {} if case.numeric else case.reach((key, OTHER_CASE) for key in _other_case(text)).values
    also = partial(_looks_like, case)
    return Reach({**values, **other_case}, also=also, unlisted=count - len(values))


def _one_replaced(text: str) -> Iterator[Key]:
    for at, character in enumerate(text):
        for other in _ALIKE.get(character, ""):
            yield text[:at] + other + text[at + 1 :]


def _other_case(text: str) -> list[str]:
    """Return a text in small letters, in capitals, and with each letter in the other case, each once."""
    return list(dict.fromkeys((text.lower(), text.upper(), text.swapcase())))


def _looks_like(case: Case, key: Key) -> bool:
    if not isinstance(key, str) or key == case.plan:
        return False
    folded = key.translate(FOLDED)
    if case.numeric:
        return folded != key and parse(folded, case.setting, Style()).number == case.plan
    return folded == str(case.plan).translate(FOLDED)


def date_mangled(case: Case) -> Reach:
    """Return the dates, and serial numbers of dates, that a planned text such as 3-4 could become."""
    text = case.around.planned_text if case.numeric else str(case.plan)
    days = days_like(text)
    if not days or case.setting.kind not in ("text", "integer", "decimal"):
        return NOTHING
    return Reach(also=lambda key: made_of(_as_text(key), text), unlisted=len(days) * MANGLED_FORMS)


def precision_lost(case: Case) -> Reach:
    """Return the planned digits as a power of ten, or with zeros after the first 15."""
    text = str(case.plan)
    if case.setting.kind != "text" or not (text.isascii() and text.isdigit()):
        return NOTHING
    also = partial(_digits_lost, text)
    return Reach(case.reach_plain(_powers(text)).values, also=also, unlisted=SIGNIFICANT)


def _powers(text: str) -> Iterator[Key]:
    if len(text.lstrip("0")) >= 12:  # which spreadsheets show like this in a cell of general format
        yield f"{Decimal(text):.2E}"
        yield f"{Decimal(text):.5E}"


def _digits_lost(text: str, key: Key) -> bool:
    found = str(key)
    if not damaged(found) or found == text:
        return False
    if found.isdigit():
        return found[:SIGNIFICANT] == text[:SIGNIFICANT] and len(found) == len(text)
    try:
        number = Decimal(found.replace(",", "."))
    except InvalidOperation:
        return False
    step = Decimal((0, (1,), int(number.as_tuple().exponent)))
    return -step / 2 <= Decimal(text) - number < step  # rounded, or cut off


def _as_text(key: Key) -> str:
    return format(key, "f") if isinstance(key, Decimal) else str(key)
