"""Rows as CSV, for any spreadsheet.

A cell that a spreadsheet would take for a formula gets an apostrophe in front, numbers such as -2.5 too.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from audit.reading.files import BYTE_ORDER_MARK

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What begins a formula; some spreadsheets accept the wide forms of East Asian keyboards too."""


def written(rows: Iterable[Iterable[str]], delimiter: str = ",") -> str:
    """Return rows as CSV, the headings among them."""
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)  # without it spreadsheets show units such as °C wrongly
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(map(as_text, row) for row in rows)
    return stream.getvalue()


def as_text(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.lstrip().startswith(FORMULA_STARTS) else cell
