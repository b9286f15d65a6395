"""The work list as CSV, for any spreadsheet. No cell is taken for a formula."""

from __future__ import annotations

from audit.model.worklist import WorkList
from audit.reporting.csv_text import written
from audit.reporting.work_rows import heads, rows


def render(work: WorkList) -> str:
    """Return the rows with their headings, separated by commas."""
    return written([heads(work), *rows(work)])
