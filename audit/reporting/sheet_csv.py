"""A blank readback sheet as CSV, for any spreadsheet. All networks stand in one table.

A tag that a spreadsheet would take for a formula gets an apostrophe in front, which the reader takes off.
"""

from __future__ import annotations

import csv
import io

from audit.reporting.punch_csv import BYTE_ORDER_MARK, as_text
from audit.sheets.layout import heads, rows, where_row
from audit.sheets.model import Book


def render(book: Book, delimiter: str = ",") -> str:
    """Return the headings, where to read, and a row a device."""
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)
    writer = csv.writer(stream, delimiter=delimiter, lineterminator="\n")
    lines = [heads(book.whole, book), where_row(book.whole, book)]
    lines += [[cell.text for cell in row.cells] for row in rows(book.whole, book)]
    writer.writerows([[as_text(text) for text in line] for line in lines])
    return stream.getvalue()
