"""A blank readback sheet as CSV, for any spreadsheet. All networks stand in one table.

A tag that a spreadsheet would take for a formula gets an apostrophe in front, which the reader takes off.
"""

from __future__ import annotations

from audit.reporting.csv_text import written
from audit.sheets.layout import heads, rows, where_row
from audit.sheets.model import Book


def render(book: Book, delimiter: str = ",") -> str:
    """Return the headings, where to read, and a row a device."""
    lines = [heads(book.whole, book), where_row(book.whole, book)]
    lines += [[cell.text for cell in row.cells] for row in rows(book.whole, book)]
    return written(lines, delimiter)
