"""Texts: a readback that repeats the plan to the letter, spellings included that no display shows.

A person who reads a display writes what it shows. If the plan is written as displays show it, both are the
same to the letter without any copying. Only spellings that are peculiar to the plan say something.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal

from audit.checks.copied.visits import Sign, Visit
from audit.model.device import Setting
from audit.model.table import Place, Style, tidied
from audit.reading import units
from audit.reading.values import plain
from audit.reading.written_numbers import places

LOOKED_AT_FIRST = 50
"""After this many visits without such a text, no more are looked at: the plan has no peculiar spelling."""
_NUMBER = re.compile(r"(?P<sign>[-+]?)(?P<number>\d+(\.\d*)?|\.\d+)\s?(?P<unit>\D*)")

Read = tuple[Setting, str, Style, Place]


def to_the_letter(visits: Sequence[Visit], telling_texts: int) -> Sign | None:
    """Return the sign that every text read is the plan's to the letter, peculiar spellings included."""
    read: list[Read] = []
    telling: list[Read] = []
    for number, visit in enumerate(visits):
        if number == LOOKED_AT_FIRST and not telling:
            return None
        texts = _equal_texts(visit)
        if texts is None:
            return None
        read += texts
        telling += [one for one in texts if spelled_its_own_way(*one[:3])]
    telling = telling or _mixed(read)
    if len(telling) < telling_texts:
        return None
    setting, text, _, place = telling[0]
    words = (
        f"all {len(read):,} texts are the plan's to the letter, {len(telling):,} of them in a spelling that "
        f"no display would show, such as {text!r} for {setting.name}"
    )
    return Sign(True, words, (place,))


def _equal_texts(visit: Visit) -> list[Read] | None:
    """Return the texts that were read where something is planned, or None if one differs from the plan."""
    found: list[Read] = []
    for setting in visit.shown_settings():
        name = setting.name
        reading = visit.reading(name)
        planned = visit.block.planned_place(visit.i, name).raw if name in visit.block.planned else ""
        if reading is None or not planned:
            continue
        if reading.raw != planned:
            return None
        style = next(table.columns[name].style for table, _ in visit.rows if name in table.columns)
        found.append((setting, reading.raw, style, reading))
    return found


def spelled_its_own_way(setting: Setting, text: str, style: Style) -> bool:
    """Tell whether a text is spelled neither as a display shows it nor as a person shortens it.

    Stray spaces; more leading or trailing zeros than the display has; a plus sign; another unit.
    """
    if text != tidied(text):
        return True
    if not setting.numeric:
        return False
    found = _NUMBER.fullmatch(text.replace(style.decimal, ".") if style.decimal else text)
    if found is None:
        return False
    unit = found["unit"].strip()
    other_unit = bool(unit) and not units.equal(unit, setting.unit)
    return found["sign"] == "+" or other_unit or found["number"] not in _natural(setting, found["number"])


def _natural(setting: Setting, number: str) -> set[str]:
    """Return the natural ways to write a number: short, or with the display's zeros."""
    value, behind = Decimal(number), places(setting)
    full = f"{value:.{behind}f}" if behind else plain(value)
    short = plain(value)
    width = (setting.digits or 0) + ("." in full)
    return {short, full, short.zfill(width), full.zfill(width)}


def _mixed(read: Sequence[Read]) -> list[Read]:
    """Return the numbers of settings that are written short in some places and with all zeros in others.

    A display shows all of them in one way, and nobody leaves out the same zeros as the plan by chance.
    """
    forms: dict[str, dict[bool, list[Read]]] = defaultdict(lambda: defaultdict(list))
    for one in read:
        setting, text, style, _ = one
        found = _NUMBER.fullmatch(text.replace(style.decimal, ".")) if style.decimal else None
        if setting.numeric and found and Decimal(found["number"]):
            short = plain(Decimal(found["number"]))
            if len(_natural(setting, found["number"])) > 1:
                forms[setting.name][found["number"] == short].append(one)
    return [one for both in forms.values() if len(both) > 1 for those in both.values() for one in those]
