"""The route sheet as CSV: one row per device, in the order of the route, with cells to fill in."""

from __future__ import annotations

from collections.abc import Iterator

from audit.model.route_sheet import RouteSheet
from audit.phrases import clean
from audit.reporting.csv_text import written
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
    return written([HEADS, *_rows(sheet)])


def _rows(sheet: RouteSheet) -> Iterator[list[str]]:
    for network in sheet.networks:
        for stop in network.stops:
            cells = (network.network, str(stop.number), stop.place or "", stop.tag, stop.serial or "",
                     stop.type, why_visited(stop), "", "", "", "")  # fmt: skip
            yield [clean(cell) for cell in cells]
