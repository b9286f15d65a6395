"""What a workbook offers and checks as a value is typed: data validation on cells that hold texts.

The usual checks for numbers refuse every text, so numbers are checked by a formula, which takes a decimal
point or comma in every locale. The checks question a value but never refuse it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.utility import quote_sheetname, xl_col_to_name

from audit.model.device import Setting
from audit.phrases import clean, counted, shortened
from audit.reading.values import plain
from audit.reading.written_numbers import places
from audit.sheets.boxes import FLAG
from audit.sheets.headings import PLACES, in_words

LONGEST_LIST = 255
"""Characters of a list inside the validation itself, and of a hint; the writer refuses more."""
LONGEST_TITLE = 32


@dataclass
class Lists:
    """Options that do not fit into a validation, on a hidden sheet of their own."""

    name: str
    """The name of that sheet: `lists`, unless a network has that name."""
    columns: dict[tuple[str, ...], int] = field(default_factory=dict)

    def source(self, options: tuple[str, ...]) -> list[str] | str:
        """Return the source of a validation's list: the options, or the cells that hold them."""
        safe = not any(set(option) & {",", '"'} or option != option.strip() for option in options)
        if safe and len(",".join(options)) <= LONGEST_LIST:
            return [*options]
        column = xl_col_to_name(self.columns.setdefault(options, len(self.columns)))
        return f"={quote_sheetname(self.name)}!${column}$1:${column}${len(options)}"

    def write(self, book: Workbook) -> None:
        """Write the hidden sheet, if there is anything for it."""
        if not self.columns:
            return
        page = book.add_worksheet(self.name)
        for options, column in self.columns.items():
            for number, option in enumerate(options):
                page.write_string(number, column, option)
        page.hide()
        page.protect()


def rule(setting: Setting, cell: str, lists: Lists) -> dict[str, Any]:
    """Return the validation of a setting's cells; `cell` is the first of them."""
    unlike = f"{_expected(setting)} If the display does show this, keep it."
    hint = {
        "input_title": shortened(clean(in_words(setting)), LONGEST_TITLE),
        "input_message": shortened(clean(_hint(setting)), LONGEST_LIST),
        "error_type": "warning",
        "error_title": "Not as expected",
        "error_message": shortened(clean(unlike), LONGEST_LIST),
    }
    if setting.kind == "flag":
        return hint | {"validate": "list", "source": [*FLAG]}
    if setting.kind == "option":
        options = tuple(clean(option) for option in setting.options)
        return hint | {"validate": "list", "source": lists.source(options)}
    if setting.numeric:
        return hint | {"validate": "custom", "value": _formula(setting, cell)}
    if setting.digits:
        return hint | {"validate": "length", "criteria": "<=", "value": setting.digits}
    return hint | {"validate": "any"}


def _formula(setting: Setting, cell: str) -> str:
    """Return the formula that is true for a number within the limits with no more places than allowed."""
    number = f'_xlfn.NUMBERVALUE(SUBSTITUTE({cell},",","."),".","|")'
    rounded = f"ROUND({number},{places(setting)})"
    low = [] if setting.low is None else [plain(setting.low)]
    high = [] if setting.high is None else [plain(setting.high)]
    if low and high:
        return f"={number}=MEDIAN({low[0]},{rounded},{high[0]})"
    if low or high:
        return f"={number}={'MAX' if low else 'MIN'}({(low or high)[0]},{rounded})"
    return f"={number}={rounded}"


def _hint(setting: Setting) -> str:
    """Return where to read a setting, and which values are expected."""
    at = PLACES[setting.read_at]
    where = ": ".join(part for part in (at, setting.where) if part)
    return f"{where}. {_expected(setting)}" if where else _expected(setting)


def _expected(setting: Setting) -> str:
    """Return in words which values the device type allows for a setting."""
    if setting.kind in ("option", "flag"):
        return f"One of: {', '.join(setting.options or FLAG)}."
    if setting.kind == "text":
        return f"At most {setting.digits} characters, as shown." if setting.digits else "As shown."
    decimals = places(setting)
    what = f"A number with {counted(decimals, 'decimal')}" if decimals else "A whole number"
    low = "" if setting.low is None else f"from {plain(setting.low)}"
    high = "" if setting.high is None else f"to {plain(setting.high)}"
    limits = " ".join(part for part in (low, high) if part)
    unit = f" in {setting.unit}" if setting.unit else ""
    return f"{what}{', ' if limits else ''}{limits}{unit}."
