"""The punch list as a workbook (XLSX), to filter, print and fill in. Same result, same bytes."""

from __future__ import annotations

import datetime
import io

from xlsxwriter import Workbook

from audit.model.result import Result
from audit.phrases import titled
from audit.reporting.punch_list import HEADS, heads, rows
from audit.reporting.xlsx_rows import lay_out, page_line, same_everywhere, write_rows

WIDTHS = {
    "priority": 7, "network": 9, "location": 12, "tag": 9, "serial": 12, "finding": 32, "planned": 10,
    "found": 10, "remedy": 38, "cautions": 30, "done by": 10, "verified by": 10, "as left": 10,
}  # fmt: skip
"""Column widths, in characters: on A4 in landscape, 9 points are printed as about 7."""


def render(result: Result) -> bytes:
    """Return the workbook."""
    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True})
    title = page_line(f"Punch list, {result.site.name}")
    book.set_properties({"title": title, "created": datetime.datetime.fromisoformat(result.run_on)})
    sheet = book.add_worksheet("Punch list")
    widths = [WIDTHS[name] for name in HEADS]
    write_rows(book, sheet, widths, [heads(result), *rows(result)])
    site = titled(result.site.name, result.site.plan_revision)
    lay_out(sheet, site, f"run on {result.run_on}", "Punch list; authorises nothing")
    book.close()
    return same_everywhere(stream.getvalue())
