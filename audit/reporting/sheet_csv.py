"""A blank readback sheet as CSV, for any spreadsheet. All networks are in one table.

A tag that a spreadsheet would take for a formula gets an apostrophe in front, which the reader removes.
"""

from __future__ import annotations

from audit.reporting.csv_text import written
from audit.sheets.layout import heads, rows, where_row
from audit.sheets.model import Book


def render(book: Book, delimiter: str = ",") -> str:
    """Return the headings, the row that says where to read, and one row per device."""
    lines = [heads(book.whole, book), where_row(book.whole, book)]
    lines += [[cell.text for cell in row.cells] for row in rows(book.whole, book)]
    return written(lines, delimiter)
