"""Nodes that stand in no gateway's list, though a list of their gateway was read.

A list is a table that holds nothing but what a gateway knows of its nodes, their addresses among it, and
names the gateway: a sheet filled in at the devices is none, since a node that was not read is missing
there as well. The lists of a gateway's newest day count together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from audit.checks.context import Context, hit
from audit.model.finding import Gap, Outcome
from audit.model.site import Site
from audit.model.table import Table
from audit.reading.gateway_lists import is_list
from audit.reading.gateway_names import gateway_names
from audit.reading.identifiers import spelling
from audit.reading.moments import moment

ROLE = "joined_gateway"

List = tuple[Table, str]
"""A gateway list, and its column that names the gateway."""


def not_joined(context: Context) -> Outcome:
    """Return a hit for each node that was read, and is missing from its gateway's newest list.

    A node that stands in another gateway's list is that rule's matter, and one that was not read at all
    that of another.
    """
    lists = _newest(context.site)
    looked_at, hits, without = 0, [], 0
    listed = {id(table) for tables in lists.values() for table, _ in tables}
    for b, block in context.blocks():
        for i, network in enumerate(block.networks):
            if network not in lists:
                without += 1
                continue
            looked_at += 1
            rows = block.rows[i] if block.rows else []
            if rows and not any(id(table) in listed for table, _ in rows):
                table, column = lists[network][-1]
                entry = _first_of(context.site, table, column, network)
                message = "the node was read, and does not stand in the list of its gateway"
                places = [table.place(entry, column), block.planned_place(i, "tag")]
                hits.append(hit(block, b, i, block.settings(ROLE)[:1], message, extra_places=places))
    gaps = (Gap("a list of the node's gateway", without),) if without else ()
    return Outcome(looked_at, hits, gaps)


def _first_of(site: Site, table: Table, column: str, network: str) -> int:
    """Return the first entry of a list that is of the gateway of a network."""
    names = gateway_names(site.plan.networks)
    texts = table.texts(column)
    return next((e for e, text in enumerate(texts) if names.get(spelling(text)) == network), 0)


def _newest(site: Site) -> Mapping[str, list[List]]:
    """Return network → the lists of its gateway that are of the newest day."""
    by_day: dict[str, dict[str, list[List]]] = defaultdict(lambda: defaultdict(list))
    for table, column in _lists(site):
        times = [time for text in set(table.texts("read_at")) if (time := moment(text))]
        day = max(times).date().isoformat() if times else ""
        for network in _named(site, table, column):
            by_day[network][day].append((table, column))
    return {network: days[max(days)] for network, days in by_day.items()}


def _lists(site: Site) -> Iterator[List]:
    """Yield the tables that are gateway lists and name the gateway, with the column that does."""
    settings = [s for block in site.blocks for s in block.type.settings]
    naming = {s.name for s in settings if s.role == ROLE}
    for table in {id(table): table for block in site.blocks for table in block.tables}.values():
        named = [name for name in table.columns if name in naming]
        if named and is_list(table, settings):
            yield table, named[0]


def _named(site: Site, table: Table, column: str) -> list[str]:
    """Return the networks whose gateways a list names."""
    names = gateway_names(site.plan.networks)
    found = {names.get(spelling(text)) for text in set(table.texts(column))}
    return [network for network in site.gateways if network in found]
