"""The punch list as CSV, for any spreadsheet. No cell can be taken for a formula."""

from __future__ import annotations

from audit.model.result import Result
from audit.reporting.csv_text import written
from audit.reporting.punch_list import heads, rows


def render(result: Result) -> str:
    """Return the rows with their headings, separated by commas."""
    return written([heads(result), *rows(result)])
