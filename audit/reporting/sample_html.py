"""The route sheet as a page to print and tick off: one file that needs nothing else, and no script."""

from __future__ import annotations

from audit.model.route_sheet import RouteSheet
from audit.reporting import pages
from audit.reporting.sample_text import headline
from audit.reporting.sample_words import ONLY_THESE, lot_heads, lot_rows, sheet_facts, why_visited


def render(sheet: RouteSheet) -> str:
    """Return the page. The same sheet gives the same bytes."""
    style = pages.part("style.css") + pages.part("route.css")
    return pages.render(
        "route.html",
        style,
        sheet=sheet,
        headline=headline(sheet),
        facts=sheet_facts(sheet),
        lot_heads=lot_heads(sheet.sample),
        lot_rows=lot_rows(sheet.sample),
        why=why_visited,
        only_these=ONLY_THESE,
    )
