"""The route sheet as CSV: a row a device, in the order of the way, with cells to fill in."""

from __future__ import annotations

import csv
import io

from audit.model.route_sheet import RouteSheet
from audit.reporting.lines import clean
from audit.reporting.punch_csv import BYTE_ORDER_MARK, as_text
from audit.reporting.sample_words import why_visited

HEADS = (
    "network",
    "turn",
    "place",
    "tag",
    "serial",
    "type",
    "why",
    "read",
    "read by",
    "date and time",
    "remark",
)


def render(sheet: RouteSheet) -> str:
    """Return the rows with their headings, separated by commas."""
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(HEADS)
    for network in sheet.networks:
        for stop in network.stops:
            cells = (network.network, str(stop.number), stop.place or "", stop.tag, stop.serial or "",
                     stop.type, why_visited(stop), "", "", "", "")  # fmt: skip
            writer.writerow([as_text(clean(cell)) for cell in cells])
    return stream.getvalue()
