"""Blank readback sheets as a workbook: one sheet per network, to fill in on a screen or on paper.

All cells are texts, so that 007 and 3-4 stay as typed. Values are offered or checked as they are typed; one
that the device type does not expect is questioned, never refused, since the display may show it. The same
plan gives the same bytes.
"""

from __future__ import annotations

import datetime
import io
from collections.abc import Mapping, Sequence
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from audit.grouping import grouped, runs_of
from audit.phrases import titled
from audit.reading.files import whole_characters
from audit.reporting.sheet_names import sheet_names
from audit.reporting.sheet_notes import notes
from audit.reporting.sheet_rules import Lists, rule
from audit.reporting.xlsx_rows import A4, fitting, lines_of, page_line, same_everywhere
from audit.sheets.layout import IN_FRONT, Row, heads, out_of_sight, rows, where_row
from audit.sheets.model import Book, Sheet

SPARE_ROWS = 3
"""Rows at the end for devices that are found but not on the list."""
DAY = datetime.datetime(1980, 1, 1)
"""Given as the day on which the workbook was made, so that it is the same for every run."""
BASE: dict[str, Any] = {
    "valign": "vcenter", "border": 1, "border_color": "#7F7F7F", "num_format": "@", "font_size": 10,
}  # fmt: skip
HEAD = BASE | {"bold": True, "bg_color": "#D9D9D9", "text_wrap": True, "align": "center"}
WHERE = BASE | {"bg_color": "#EDEDED", "text_wrap": True, "align": "center", "valign": "top", "font_size": 8}
GIVEN = BASE | {"bg_color": "#EDEDED", "text_wrap": True}
OPEN = BASE | {"locked": False, "align": "center"}
NOTE = BASE | {"locked": False, "text_wrap": True}
TIME = OPEN | {"num_format": "yyyy-mm-dd hh:mm"}
CLOSED = BASE | {"pattern": 14, "fg_color": "#7F7F7F", "bg_color": "#BFBFBF"}
"""Hatched, where the program can show it, so that it stands out in black and white too."""
PLANNED = BASE | {"italic": True, "bg_color": "#EDEDED", "align": "center", "font_size": 8}
FORMATS = {"head": HEAD, "where": WHERE, "given": GIVEN, "open": OPEN, "note": NOTE, "time": TIME,
           "closed": CLOSED, "planned": PLANNED}  # fmt: skip
OF_FIELD = {"note": "note", "read at": "time", "configured at": "time"}
WIDTHS = {"tag": 12, "location": 20, "serial": 14, "read by": 12, "read at": 16, "configured by": 12,
          "configured at": 16, "note": 24}  # fmt: skip
"""Column widths in characters."""
ROW_HEIGHT = 21
LINE_HEIGHT = 11
"""Points per line of the small type below the headings; spreadsheets do not work it out on opening."""
MOST_LINES = 8


def render(book: Book) -> bytes:
    """Return the workbook."""
    stream = io.BytesIO()
    made = Workbook(stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    made.set_properties({"title": page_line(f"Readback sheets, {book.site}", 120), "created": DAY})
    formats = {name: made.add_format(form) for name, form in FORMATS.items()}
    *names, about_name, lists_name = sheet_names(
        [*(sheet.network for sheet in book.sheets), "How to fill in", "lists"]
    )
    pages = [made.add_worksheet(name) for name in names]
    about = made.add_worksheet(about_name)
    lists = Lists(lists_name)
    for page, sheet in zip(pages, book.sheets, strict=True):
        _fill(page, sheet, book, formats, lists)
    _about(about, book, made)
    lists.write(made)
    made.close()
    return same_everywhere(stream.getvalue())


def _fill(page: Worksheet, sheet: Sheet, book: Book, formats: Mapping[str, Any], lists: Lists) -> None:
    headings = heads(sheet, book)
    body = list(rows(sheet, book))
    for column, (heading, where) in enumerate(zip(headings, where_row(sheet, book), strict=True)):
        page.write_string(0, column, _whole(heading), formats["head"])
        page.write_string(1, column, _whole(where), formats["where"])
    for number, row in enumerate(body, 2):
        _row(page, number, row, headings, formats)
    last = 2 + len(body)
    for number in range(last, last + SPARE_ROWS):
        for column in range(len(headings) - len(out_of_sight(book))):
            kind = OF_FIELD.get(headings[column], "open")
            page.write_blank(number, column, None, formats[kind])
    _ask(page, body, headings, lists)
    _lay_out(page, sheet, book, headings, last + SPARE_ROWS)


def _row(page: Worksheet, number: int, row: Row, headings: Sequence[str], formats: Mapping[str, Any]) -> None:
    for column, cell in enumerate(row.cells):
        if row.planned:
            kind = "planned"
        elif cell.open:
            kind = OF_FIELD.get(headings[column], "open") if cell.setting is None else "open"
        else:
            kind = "given" if cell.text or headings[column] in IN_FRONT else "closed"
        if cell.text:
            page.write_string(number, column, _whole(cell.text), formats[kind])
        else:
            page.write_blank(number, column, None, formats[kind])


def _ask(page: Worksheet, body: Sequence[Row], headings: Sequence[str], lists: Lists) -> None:
    """Put drop-downs, limits and hints on the cells to fill in: one for all cells of the same setting."""
    for column in range(len(headings)):
        asked = ((row.cells[column].setting, number) for number, row in enumerate(body, 2))
        for setting, numbers in grouped((one, number) for one, number in asked if one).items():
            first = xl_rowcol_to_cell(numbers[0], column)
            runs = [[top, column, bottom, column] for top, bottom in runs_of(numbers)]
            options = rule(setting, first, lists) | {"other_cells": runs[1:]}
            page.data_validation(*runs[0], options)


def _lay_out(page: Worksheet, sheet: Sheet, book: Book, headings: Sequence[str], end: int) -> None:
    """Set column widths, frozen panes, protection and printing."""
    shown = len(headings) - len(out_of_sight(book))
    widths = [WIDTHS.get(heading, _width(heading)) for heading in headings[:shown]]
    for column, width in enumerate(widths):
        page.set_column(column, column, width)
    for column in range(shown, len(headings)):
        page.set_column(column, column, 14, None, {"hidden": True})
    lines = [lines_of(text, width) for text, width in zip(where_row(sheet, book), widths, strict=False)]
    page.set_default_row(ROW_HEIGHT)
    page.set_row(0, 32)
    page.set_row(1, 6 + LINE_HEIGHT * min(MOST_LINES, max(lines)))
    page.freeze_panes(2, 1)
    page.ignore_errors({"number_stored_as_text": f"A1:{xl_rowcol_to_cell(end, len(headings))}"})
    page.protect("", {"format_columns": True, "format_rows": True, "select_locked_cells": True})
    page.set_landscape()
    page.set_paper(A4)
    page.set_margins(left=0.4, right=0.4, top=0.8, bottom=0.7)
    page.fit_to_pages(1, 0)
    page.repeat_rows(0, 1)
    page.print_area(0, 0, end - 1, shown - 1)
    site = page_line(titled(book.site, book.revision), 110)
    with_plan = "&CPLANNED VALUES SHOWN" if book.with_plan else ""
    page.set_header(f"&L{site}{with_plan}&R{page_line(f'network {sheet.network}', 60)}")
    page.set_footer("&LReadback sheet: write what the display shows&Rpage &P of &N")


def _width(heading: str) -> int:
    """Return the width of a column of settings, in characters: enough for its longest word and a value."""
    return max(9, min(16, 3 + max(map(len, heading.split()))))


def _about(page: Worksheet, book: Book, made: Workbook) -> None:
    """Write how to fill in the sheets."""
    page.set_column(0, 0, 76)
    plain = made.add_format({"text_wrap": True, "valign": "top"})
    bold = made.add_format({"bold": True, "font_size": 13})
    page.write_string(0, 0, "How to fill in these sheets", bold)
    for number, text in enumerate(notes(book), 1):
        page.write_string(number, 0, _whole(text), plain)
        page.set_row(number, 16 * lines_of(text, 76, small=False) + 4)
    page.protect()
    page.set_paper(A4)
    page.fit_to_pages(1, 0)


def _whole(text: str) -> str:
    """Return a text that a workbook can hold: no halves of characters, and not too long."""
    return fitting(whole_characters(text))
