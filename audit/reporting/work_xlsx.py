"""The work list as a workbook (XLSX), to print and fill in. Same list, same bytes."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from audit.model.worklist import WorkList
from audit.reporting.lines import clean
from audit.reporting.punch_xlsx import A4, HEAD, TEXT, day_of, fitting, page_line
from audit.reporting.work_rows import heads, rows
from audit.reporting.work_text import facts

WIDTHS = {
    "step": 6, "visit": 12, "network": 8, "place": 12, "tag": 8, "serial": 11, "what to do": 28, "setting": 8,
    "where": 10, "from": 9, "to": 9, "after step": 6, "hold point": 20, "cautions and permits": 20,
    "expect": 22, "minutes": 7, "to undo": 16, "findings": 20, "state": 8, "done by": 10, "verified by": 10,
    "as left": 10,
}  # fmt: skip
"""Column widths, in characters."""
WORDS: dict[str, Any] = {"text_wrap": True, "valign": "top", "num_format": "@", "quote_prefix": True}
TITLE = WORDS | {"bold": True}


def render(work: WorkList) -> bytes:
    """Return the workbook: what to know before, then the steps."""
    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    title = page_line(f"Work list, {work.site.name}")
    book.set_properties({"title": title, "created": day_of(work.run_on)})
    before, steps = book.add_worksheet("Before you start"), book.add_worksheet("Steps")
    _write_before(before, work, book.add_format(TITLE), book.add_format(WORDS))
    _write_steps(steps, heads(work), rows(work), book.add_format(HEAD), book.add_format(TEXT))
    for sheet in (before, steps):
        _lay_out(sheet, work)
    book.close()
    return stream.getvalue()


def _write_before(sheet: Worksheet, work: WorkList, title: Any, words: Any) -> None:
    """Write what has to be known before: the figures, the cautions, what is held back, the alternatives."""
    sheet.set_column(0, 0, 110)
    lines = [(f"Work list: {work.site.name}", title), *((fact, words) for fact in facts(work))]
    lines += [("Cautions", title), *((caution, words) for caution in work.cautions)]
    if work.held_back:
        lines.append(("Held back, not among the steps", title))
        lines += [(f"{h.network}: {h.change}. {h.why}. To go on: {h.mend}.", words) for h in work.held_back]
    if work.alternatives:
        lines.append(("Alternatives", title))
        lines += [(_alternative(a), words) for a in work.alternatives]
    if work.newly_wrong:
        lines.append(("Newly wrong after the work", title))
        lines += [(f"{one.message}. {one.remedy}", words) for one in work.newly_wrong]
    lines += [("Inputs, with SHA-256", title)]
    lines += [(f"{file.file} ({file.kind}): {file.sha256 or file.note}", words) for file in work.inputs]
    for row, (text, form) in enumerate(lines):
        sheet.write_string(row, 0, fitting(clean(text)), form)


def _alternative(one: Any) -> str:
    from audit.reporting.work_text import alternative_words

    return alternative_words(one)


def _write_steps(
    sheet: Worksheet, names: Sequence[str], made: Sequence[Sequence[str]], head: Any, text: Any
) -> None:
    for column, name in enumerate(names):
        sheet.set_column(column, column, WIDTHS[name])
        sheet.write_string(0, column, name, head)
    for number, row in enumerate(made, 1):
        for column, cell in enumerate(row):
            sheet.write_string(number, column, fitting(cell), text)
    last = len(names) - 1
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, len(made), last)
    sheet.ignore_errors({"number_stored_as_text": f"A1:{chr(ord('A') + last)}{len(made) + 1}"})
    sheet.repeat_rows(0)


def _lay_out(sheet: Worksheet, work: WorkList) -> None:
    sheet.set_landscape()
    sheet.set_paper(A4)
    sheet.set_margins(left=0.4, right=0.4, top=0.7, bottom=0.6)
    sheet.fit_to_pages(1, 0)
    revision = f", plan revision {work.site.plan_revision}" if work.site.plan_revision else ""
    sheet.set_header(f"&L{page_line(work.site.name + revision)}&R{page_line(f'made on {work.run_on}', 20)}")
    sheet.set_footer("&LWork list; authorises nothing&Rpage &P of &N")
