"""The punch list as a workbook (XLSX), to filter, print and fill in. Same result, same bytes."""

from __future__ import annotations

import datetime
import io
from collections.abc import Sequence
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from audit.model.result import Result
from audit.reporting.lines import clean
from audit.reporting.punch_list import HEADS, heads, rows

WIDTHS = {
    "priority": 7, "network": 9, "location": 12, "tag": 9, "serial": 12, "finding": 26, "planned": 10,
    "found": 10, "remedy": 30, "cautions": 44, "done by": 10, "verified by": 10, "as left": 10,
}  # fmt: skip
"""Column widths, in characters: on A4 in landscape, 9 points are printed as about 7."""
LONGEST_CELL = 32_767
"""Characters that a cell of a workbook holds (from memory, not verified)."""
CUT = " … (cut)"
A4 = 9
TEXT: dict[str, Any] = {
    "text_wrap": True, "valign": "top", "border": 1, "border_color": "#808080", "num_format": "@",
    "quote_prefix": True, "font_size": 9,
}  # fmt: skip
"""Cells are texts, and stay texts when they are edited."""
HEAD = TEXT | {"bold": True, "bg_color": "#E8E8E8"}


def render(result: Result) -> bytes:
    """Return the workbook."""
    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True})
    book.set_properties(
        {"title": page_line(f"Punch list, {result.site.name}"), "created": day_of(result.run_on)}
    )
    sheet = book.add_worksheet("Punch list")
    made = [[fitting(cell) for cell in row] for row in rows(result)]
    _write(sheet, [heads(result), *made], book.add_format(HEAD), book.add_format(TEXT))
    _lay_out(sheet, result, len(made))
    book.close()
    return stream.getvalue()


def _write(sheet: Worksheet, lines: Sequence[Sequence[str]], head: Any, text: Any) -> None:
    """Write the headings, which are the first line, and the rows."""
    for column, name in enumerate(HEADS):
        sheet.set_column(column, column, WIDTHS[name])
    for number, row in enumerate(lines):
        for column, cell in enumerate(row):
            sheet.write_string(number, column, cell, text if number else head)


def _lay_out(sheet: Worksheet, result: Result, count: int) -> None:
    """Set what a reader sees first, and what the printer does: all columns on a page, headings on each."""
    last = len(HEADS) - 1
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, count, last)
    sheet.ignore_errors({"number_stored_as_text": f"A1:{chr(ord('A') + last)}{count + 1}"})
    sheet.set_landscape()
    sheet.set_paper(A4)
    sheet.set_margins(left=0.4, right=0.4, top=0.7, bottom=0.6)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    revision = f", plan revision {result.site.plan_revision}" if result.site.plan_revision else ""
    left, right = page_line(result.site.name + revision), page_line(f"run on {result.run_on}", 20)
    sheet.set_header(f"&L{left}&R{right}")
    sheet.set_footer("&LPunch list&Rpage &P of &N")


def fitting(cell: str) -> str:
    """Return a cell that is not too long for a spreadsheet, and says so where it was."""
    return cell if len(cell) <= LONGEST_CELL else cell[: LONGEST_CELL - len(CUT)] + CUT


def page_line(text: str, longest: int = 100) -> str:
    """Return a text for the head of a page, which holds 255 characters, and where `&` begins a command."""
    return " ".join(clean(text).replace("&", " and ").split())[:longest]


def day_of(run_on: str) -> datetime.datetime:
    """Return the run's date, so that the same result gives the same bytes on any day."""
    try:
        return datetime.datetime.fromisoformat(run_on)
    except ValueError:
        return datetime.datetime(1980, 1, 1)
