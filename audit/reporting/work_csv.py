"""The work list as CSV, for any spreadsheet. No cell is taken for a formula."""

from __future__ import annotations

import csv
import io

from audit.model.worklist import WorkList
from audit.reporting.punch_csv import BYTE_ORDER_MARK, as_text
from audit.reporting.work_rows import heads, rows


def render(work: WorkList) -> str:
    """Return the rows with their headings, separated by commas."""
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(heads(work))
    writer.writerows([map(as_text, row) for row in rows(work)])
    return stream.getvalue()
