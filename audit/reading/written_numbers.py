"""Numbers as they are written: decimal marks, units, and how many places a display shows."""

from __future__ import annotations

import re
from functools import cache

from audit.model.device import Setting
from audit.model.table import NO_UNIT, NOT_LABELLED, NOT_TWO, Style
from audit.reading import units

OTHER_MARK = "; state `decimal"
"""Start of the advice for a text that is a number if the decimal mark is not the declared one."""

THOUSANDS = "; if it separates thousands, state `grouping` (and `decimal`)"
"""Start of the advice for a text that is a number with other marks than those declared."""

GROUPING = (",", ".", " ", "'")
"""The marks between groups of three digits that a mapping can declare."""
WHY_NOT_TWO = "is not two numbers, such as 0-1000 or -1 to 9, with a unit after the second or none"
"""What is wrong with a cell that a mapping splits. A single number, or one behind a label, is such."""
WHY_NOT_LABELLED = (
    "is not only settings behind their labels, such as L 280 / H 780 kPa, with a unit behind each value, "
    "behind the last, or none"
)
"""What is wrong with a cell in which a mapping looks for labels."""
OTHER_BASE = re.compile(r"(?i)0x[0-9a-f]{1,16}|0o[0-7]{1,21}")
"""A whole number to the base 16 or 8, as the core schema of YAML 1.2.2 has them (10.3.2)."""


def why_no_value(text: str, style: Style) -> tuple[str, str]:
    """Return what a cell says that has no value of its own or lacks something, and why it has none."""
    for mark, why in ((NOT_TWO, WHY_NOT_TWO), (NOT_LABELLED, WHY_NOT_LABELLED)):
        if text.startswith(mark):
            cell, other = text.removeprefix(mark), other_mark(style)
            once = rf"(?<!\d)(?<!\d[.,])\d+{re.escape(other)}\d+(?!\d|[.,]\d)"  # unlike a date: twice
            advice = f"{OTHER_MARK}: {other!r}` in a mapping if that is its decimal mark"
            return cell, why + (advice if re.search(once, cell) else "")
    if text.startswith(NO_UNIT):
        return text.removeprefix(NO_UNIT), "has no unit in its row, where the mapping says that there is one"
    return text, "is not a value; unmerge the cells and write the value in every row"


def without_advice(note: str) -> str:
    """Return what is wrong with a number, without what a mapping could state: where none applies."""
    return note.partition(OTHER_MARK)[0].partition(THOUSANDS)[0]


def with_point(text: str, found: re.Match[str], style: Style) -> str:
    """Return a number as it was understood: with a decimal point and no thousands separators."""
    end = found.start("unit") if found["unit"] else len(text)
    number = text[:end].replace(style.grouping, "")
    for mark in style.decimal:
        number = number.replace(mark, ".")
    return number + text[end:]


@cache
def pattern(decimal: str, grouping: str) -> re.Pattern[str]:
    """Return the pattern of a number with an optional unit, for one style of writing numbers.

    `decimal` is the decimal mark, or several of which any may be used.
    """
    mark, group = re.escape(decimal), re.escape(grouping)
    whole = rf"\d{{1,3}}(?:{group}\d{{3}})+|\d+" if grouping else r"\d+"
    return re.compile(
        rf"(?P<sign>[-+]?) ?(?=[\d{mark}])(?P<whole>{whole})?(?:[{mark}](?P<part>\d*))?"
        r"(?P<power>[eE][-+]?\d{1,3})? ?(?P<unit>[^\W\d][^.,+-]*|[°%µ][^.,+-]*)?"
    )


def number_and_unit(text: str, style: Style) -> tuple[str, str]:
    """Return a typed number and its unit; the whole text and no unit if it is not a number with a unit."""
    found = pattern(style.decimal, style.grouping).fullmatch(text)
    if found is None or not found["unit"] or OTHER_BASE.fullmatch(text):
        return text, ""
    return text[: found.start("unit")].strip(), found["unit"].strip()


def may_be_thousands(number: re.Match[str], setting: Setting) -> bool:
    """Return whether a number such as 1,250 may also be 1250, since it is finer than the display shows.

    If the number has a different unit, it is not known how fine the display is.
    """
    if number["unit"] and not units.equal(number["unit"], setting.unit):
        return False
    whole, part = number["whole"] or "", number["part"] or ""
    return len(part) == 3 and 1 <= len(whole) <= 3 and whole.strip("0") != "" and places(setting) < 3


def places(setting: Setting) -> int:
    """Return how many decimal places the display shows."""
    exponent = setting.display_step.normalize().as_tuple().exponent
    return max(0, -int(exponent)) if setting.kind == "decimal" else 0


def other_mark(style: Style) -> str:
    """Return the decimal mark that is not the declared one."""
    return "," if style.decimal == "." else "."


def why_no_number(text: str, style: Style) -> str:
    """Return why a text is not a number in a style: its marks may be others than those declared."""
    if text.startswith("="):
        return "is a formula without its result; open the file in a spreadsheet program and save it"
    other = other_mark(style)
    marks = [mark for mark in GROUPING if mark not in style.decimal]
    separated = [mark for mark in marks if pattern(style.decimal, mark).fullmatch(text)]
    if other in text and pattern(other, "").fullmatch(text):
        thousands = f", or `grouping: {other!r}` if it separates thousands" if separated else ""
        return (
            f"has a {'comma' if other == ',' else 'point'} where the decimal mark is declared as "
            f"{style.decimal!r}{OTHER_MARK}: {other!r}` in a mapping if that is its decimal mark{thousands}"
        )
    if (separated and not style.grouping) or pattern(other, style.decimal[0]).fullmatch(text):
        return f"is not a number{THOUSANDS} in a mapping"
    return "is not a number"
