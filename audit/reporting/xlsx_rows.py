"""Workbooks of rows to print and fill in: what the punch list and the work list share."""

from __future__ import annotations

import struct
import textwrap
from collections.abc import Sequence
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from audit.phrases import clean, shortened

LONGEST_CELL = 32_767
"""Characters that a cell of a workbook holds (from memory, not verified)."""
CUT = " … (cut)"
A4 = 9
SMALL_LINE, LINE = 12, 15
"""Heights of a line of 9 and of 11 points, in points."""
TALLEST = 409
"""The height that a row can have, in points (from memory, not verified)."""
UNIX = 3
"""The number of the system in the index of a zip file (from memory, not verified)."""
TEXT: dict[str, Any] = {
    "text_wrap": True, "valign": "top", "border": 1, "border_color": "#808080", "num_format": "@",
    "quote_prefix": True, "font_size": 9,
}  # fmt: skip
"""Cells are texts, and stay texts when they are edited."""
HEAD = TEXT | {"bold": True, "bg_color": "#E8E8E8"}


def write_rows(
    book: Workbook, sheet: Worksheet, widths: Sequence[int], lines: Sequence[Sequence[str]]
) -> None:
    """Write the headings, which are the first line, and the rows; headings stay in view and on every page."""
    head, text = book.add_format(HEAD), book.add_format(TEXT)
    for column, width in enumerate(widths):
        sheet.set_column(column, column, width)
    for number, row in enumerate(lines):
        most = max(lines_of(cell, width) for cell, width in zip(row, widths, strict=True))
        sheet.set_row(number, min(TALLEST, SMALL_LINE * most + 3))
        for column, cell in enumerate(row):
            sheet.write_string(number, column, fitting(cell), text if number else head)
    last = len(widths) - 1
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, len(lines) - 1, last)
    sheet.ignore_errors({"number_stored_as_text": f"A1:{chr(ord('A') + last)}{len(lines)}"})
    sheet.repeat_rows(0)


def lines_of(text: str, width: int, *, small: bool = True) -> int:
    """Return how many lines a text takes in a column; small type holds about a quarter more in each.

    Not every program finds that out by itself: some show only the first line of a wrapped text.
    """
    return len(textwrap.wrap(text, max(4, width * 5 // 4 - 1) if small else width)) or 1


def lay_out(sheet: Worksheet, left: str, right: str, foot: str) -> None:
    """Set up printing: all columns on one page, with header and footer."""
    sheet.set_landscape()
    sheet.set_paper(A4)
    sheet.set_margins(left=0.4, right=0.4, top=0.7, bottom=0.6)
    sheet.fit_to_pages(1, 0)
    sheet.set_header(f"&L{page_line(left)}&R{page_line(right, 20)}")
    sheet.set_footer(f"&L{foot}&Rpage &P of &N")


def same_everywhere(book: bytes) -> bytes:
    """Return a workbook as if made on Unix: the index of a zip file names the system for each part."""
    made, at = bytearray(book), int.from_bytes(book[-6:-2], "little")
    while made[at : at + 4] == b"PK\x01\x02":
        made[at + 5] = UNIX
        at += 46 + sum(struct.unpack_from("<3H", made, at + 28))  # followed by name, extra, comment
    return bytes(made)


def fitting(cell: str) -> str:
    """Return a cell that is not too long for a spreadsheet; one that was cut says so."""
    return cell if len(cell) <= LONGEST_CELL else cell[: LONGEST_CELL - len(CUT)] + CUT


def page_line(text: str, longest: int = 100) -> str:
    """Return a text for the header of a page, of at most 255 characters, in which `&` begins a command."""
    return shortened(" ".join(clean(text).replace("&", " and ").split()), longest)
