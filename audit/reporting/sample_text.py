"""The route sheet as text: how many to visit, what is accepted, and the route."""

from __future__ import annotations

from audit.model.route_sheet import RouteNetwork, RouteSheet
from audit.phrases import as_argument, counted, titled, typed
from audit.reporting.lines import Lines, table
from audit.reporting.sample_words import ONLY_THESE, lot_heads, lot_rows, sheet_facts, why_visited


def render(sheet: RouteSheet, width: int = 80, colour: bool = False, plan: str = "", sample: str = "") -> str:
    """Return the sheet as text of the given width. `plan` and `sample` are files for the next command."""
    lines = Lines(width, colour)
    lines.add(headline(sheet), "head")
    lines.add(titled(sheet.site.name, sheet.site.plan_revision))
    for fact in sheet_facts(sheet):
        lines.add(fact, indent=2, hang=2)
    lines.head("LOTS")
    lines.block(table(lot_rows(sheet.sample), lot_heads(sheet.sample), lines.width - 2), 2)
    _always(lines, sheet)
    lines.head("ROUTE")
    lines.add(ONLY_THESE, indent=2)
    for network in sheet.networks:
        _network(lines, network)
    lines.cautions(sheet.cautions)
    lines.inputs(sheet.inputs)
    lines.add()
    lines.add(headline(sheet), "head")
    _next(lines, plan or "PLAN", sample)
    return lines.text()


def headline(sheet: RouteSheet) -> str:
    """Return the first line."""
    nodes = counted(sheet.nodes, "node")
    return f"Visit {sheet.visits:,} of {nodes}: {sheet.always:,} always, {sheet.drawn:,} drawn"


def _always(lines: Lines, sheet: RouteSheet) -> None:
    if not sheet.sample.always:
        return
    lines.head("ALWAYS VISITED")
    rows = [(place.network, place.node, "; ".join(place.reasons)) for place in sheet.sample.always]
    lines.block(table(rows, ("network", "node", "why"), lines.width - 2), 2)


def _network(lines: Lines, network: RouteNetwork) -> None:
    way = f", about {network.metres:,.0f} m" if network.metres is not None else ""
    nodes = counted(len(network.stops) - 1, "node")
    lines.head(f"{network.network}: the gateway and {nodes} ({network.order}{way})")
    rows = [
        ("[ ]", stop.number, stop.tag, stop.serial or "", stop.place or "", why_visited(stop))
        for stop in network.stops
    ]
    lines.block(table(rows, ("", "", "tag", "serial", "place", "why"), lines.width - 2), 2)


def _next(lines: Lines, plan: str, sample: str) -> None:
    if sample:
        next_ = typed("asfound", "check", as_argument(plan), "READBACK", "--sample", as_argument(sample))
        lines.add(f"next, after the visit: {next_}", whole=next_)
    else:
        lines.add("not saved: add --out sample.json, and --out route.html to print it")
