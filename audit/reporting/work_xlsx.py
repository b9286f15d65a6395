"""The work list as a workbook (XLSX), to print and fill in. Same list, same bytes."""

from __future__ import annotations

import datetime
import io
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from audit.model.worklist import WorkList
from audit.phrases import clean, titled
from audit.reporting.work_rows import heads, newly_wrong, rows
from audit.reporting.work_text import alternative_words, facts
from audit.reporting.xlsx_rows import (
    LINE,
    TALLEST,
    fitting,
    lay_out,
    lines_of,
    page_line,
    same_everywhere,
    write_rows,
)

WIDTHS = {
    "step": 6, "visit": 12, "network": 8, "place": 12, "tag": 8, "serial": 11, "what to do": 28, "setting": 8,
    "where": 10, "from": 9, "to": 9, "after step": 6, "hold point": 20, "cautions and permits": 20,
    "expect": 22, "minutes": 7, "to undo": 16, "findings": 20, "state": 8, "done by": 10, "verified by": 10,
    "as left": 10,
}  # fmt: skip
"""Column widths, in characters."""
WIDE = 110
"""The width of the column of words beforehand."""
WORDS: dict[str, Any] = {"text_wrap": True, "valign": "top", "num_format": "@", "quote_prefix": True}
TITLE = WORDS | {"bold": True}


def render(work: WorkList) -> bytes:
    """Return the workbook: what to know beforehand, then the steps."""
    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    title = page_line(f"Work list, {work.site.name}")
    book.set_properties({"title": title, "created": datetime.datetime.fromisoformat(work.run_on)})
    before, steps = book.add_worksheet("Before you start"), book.add_worksheet("Steps")
    _write_before(before, work, book.add_format(TITLE), book.add_format(WORDS))
    widths = [WIDTHS[name] for name in heads(work)]
    write_rows(book, steps, widths, [heads(work), *rows(work)])
    site = titled(work.site.name, work.site.plan_revision)
    for sheet in (before, steps):
        lay_out(sheet, site, f"made on {work.run_on}", "Work list; authorises nothing")
    book.close()
    return same_everywhere(stream.getvalue())


def _write_before(sheet: Worksheet, work: WorkList, title: Any, words: Any) -> None:
    """Write what to know beforehand: figures, cautions, what is held back or newly wrong, alternatives."""
    sheet.set_column(0, 0, WIDE)
    lines = [(f"Work list: {work.site.name}", title), *((fact, words) for fact in facts(work))]
    lines += [("Cautions", title), *((caution, words) for caution in work.cautions)]
    if work.held_back:
        lines.append(("Held back, not among the steps", title))
        lines += [(f"{h.network}: {h.change}. {h.why}. To go on: {h.mend}.", words) for h in work.held_back]
    if work.alternatives:
        lines.append(("Alternatives", title))
        lines += [(alternative_words(a), words) for a in work.alternatives]
    if work.newly_wrong:
        lines.append(("Newly wrong after the work", title))
        lines += [(newly_wrong(one), words) for one in work.newly_wrong]
    lines += [("Inputs, with SHA-256", title)]
    lines += [
        (f"{file.file} ({file.kind}): {'; '.join(filter(None, (file.sha256, file.note)))}", words)
        for file in work.inputs
    ]
    for row, (text, form) in enumerate(lines):
        sheet.set_row(row, min(TALLEST, LINE * lines_of(text, WIDE, small=False)))
        sheet.write_string(row, 0, fitting(clean(text)), form)
