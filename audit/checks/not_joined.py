"""Nodes that are missing from their gateway's list.

A list is a table that names the gateway and has nothing but what a gateway knows about its nodes, addresses
included. A sheet filled in at the devices is not a list, since a node that was not read is missing from it
too. All lists of a gateway's newest day count together. A list made before the node or its gateway was
re-set says nothing about how they are now.
"""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from itertools import pairwise

from audit.checks.context import Context, hit
from audit.checks.disagreeing import readings_of
from audit.comparing import same
from audit.model.finding import Gap, Outcome
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block, Site, Target
from audit.model.table import Place, Table
from audit.reading.gateway_lists import is_list
from audit.reading.gateway_names import gateway_names
from audit.reading.identifiers import damaged, lost_from, spelling
from audit.reading.meanings import Meanings
from audit.reading.moments import day_of, is_later, moment

ROLE = "joined_gateway"

List = tuple[Table, str]
"""A gateway list, and its column that names the gateway."""


def not_joined(context: Context) -> Outcome:
    """Return a hit for each node that was read, and is missing from its gateway's newest list.

    Other rules report a node that is in another gateway's list, and one that was not read at all.
    """
    site, lists = context.site, _newest(context.site)
    older: list[str] = []
    unclear: list[str] = []
    hits = []
    nodes = [(b, i) for b, block in context.blocks() for i in range(len(block))]
    looked_at = [(b, i) for b, i in nodes if site.blocks[b].networks[i] in lists]
    tables = {id(table) for of_network in lists.values() for table, _ in of_network}
    missing = [(b, i) for b, i in looked_at if _is_in_others_only(site.blocks[b], i, tables)]
    newest = {
        network: _newest_list(site, lists[network], network)
        for network in {site.blocks[b].networks[i] for b, i in missing}
    }
    perhaps = _perhaps_listed(site, missing, lists)
    for b, i in missing:
        block = site.blocks[b]
        there, as_many = perhaps.get((b, i), (0, 0))
        made, places, changed = newest[block.networks[i]]
        if there and there >= as_many:
            unclear.append(block.tags[i])
        elif changed or _changed_since(site, (b, i), made):
            older.append(block.tags[i])
        else:
            message = _message(there, as_many)
            if any(is_later(table.texts("read_at")[entry], made) for table, entry in block.rows[i]):
                message += "; the list is older than that reading: get a new list first"
            places = [*places, block.planned_place(i, "tag")]
            hits.append(hit(block, b, i, block.first_settings(ROLE), message, extra_places=places))
    without = len(nodes) - len(looked_at)
    gaps = [Gap("a list of the node's gateway", without)] if without else []
    if unclear:
        gaps.append(Gap("a list with all digits of serial numbers", len(unclear), tuple(unclear)))
    if older:
        words = "a list newer than the last change to the node or its gateway"
        gaps.append(Gap(words, len(older), tuple(older)))
    return Outcome(len(looked_at) - len(unclear) - len(older), hits, tuple(gaps))


def _is_in_others_only(block: Block, i: int, lists: Set[int]) -> bool:
    """Tell whether a device was read, but is in none of these tables."""
    rows = block.rows_read(i)
    return bool(rows) and not any(id(table) in lists for table, _ in rows)


def _message(there: int, as_many: int) -> str:
    """Return what is said of a missing node; `there` rounded numbers may be those of `as_many` nodes."""
    message = "the node was read, but is not in its gateway's list"
    if not there:
        return message
    rounded = "the rounded number" if there == 1 else f"one of the {there} rounded numbers"
    return f"{message}, unless {rounded} there is its serial number; it may be that of {as_many} nodes"


def _perhaps_listed(
    site: Site, missing: Sequence[Target], lists: Mapping[str, Sequence[List]]
) -> dict[Target, tuple[int, int]]:
    """Return missing node → how many rows of its lists may be about it, and how many nodes share them.

    Such a row has no tag, and a serial number that has lost its digits. Of several lists of one day, the one
    with the most such rows counts.
    """
    names = gateway_names(site.plan.networks)
    naming = {id(table): column for tables in lists.values() for table, column in tables}
    rounded: dict[tuple[str, str], Counter[int]] = defaultdict(Counter)
    for one in site.strangers if missing else ():
        for table, entry in one.rows if damaged(one.serial) and not one.tag else ():
            network = names.get(spelling(table.texts(naming.get(id(table), ""))[entry]), "")
            rounded[network, one.serial][id(table)] += 1
    perhaps: dict[Target, tuple[int, int]] = {}
    for (network, text), rows in rounded.items():
        of_network = (one for one in missing if site.blocks[one[0]].networks[one[1]] == network)
        may_be = [(b, i) for b, i in of_network if lost_from(text, site.blocks[b].serials[i])]
        perhaps |= {device: (max(rows.values()), len(may_be)) for device in may_be}
    return perhaps


def networks_with_list(site: Site) -> set[str]:
    """Return the networks whose gateway's list was read."""
    return {*_newest(site)}


def _newest_list(site: Site, lists: Sequence[List], network: str) -> tuple[str, list[Place], bool]:
    """Return when the newest list of a gateway was made, its places, and whether that was re-set since.

    It is that of the newest entry that names the gateway, the first of several.
    """
    names = gateway_names(site.plan.networks)
    entries = [
        (table, column, e)
        for table, column in lists
        for e, text in enumerate(table.texts(column)) if names.get(spelling(text)) == network
    ]  # fmt: skip
    table, column, entry = max(
        entries, key=lambda one: moment(one[0].texts("read_at")[one[2]]) or datetime.datetime.min
    )
    made = table.texts("read_at")[entry]
    dated = [table.place(entry, "read_at")] if made.strip() else []
    changed = _changed_since(site, site.gateways[network], made)
    return made, [table.place(entry, column), *dated], changed


def _changed_since(site: Site, who: Target, made: str) -> bool:
    """Tell whether radio settings or address of a device changed between readings, after a list was made."""
    (b, i), meanings = who, Meanings()
    block = site.blocks[b]
    return any(
        old.value.read and new.value.read and not same(old.value, new.value, setting)
        and is_later(new.time, made)
        for setting in block.first_settings(*NETWORK_ROLES, "address")
        for old, new in pairwise(readings_of(block.rows_read(i), setting, meanings))
    )  # fmt: skip


def _newest(site: Site) -> Mapping[str, list[List]]:
    """Return network → the lists of its gateway from the newest day."""
    by_day: dict[str, dict[str, list[List]]] = defaultdict(lambda: defaultdict(list))
    for table, column in _lists(site):
        times = [(time, text) for text in set(table.texts("read_at")) if (time := moment(text))]
        day = str(day_of(max(times)[1])) if times else ""
        for network in _named(site, table, column):
            by_day[network][day].append((table, column))
    return {network: days[max(days)] for network, days in by_day.items()}


def _lists(site: Site) -> Iterator[List]:
    """Yield the tables that are gateway lists and name the gateway, with the column that names it."""
    settings = [s for block in site.blocks for s in block.type.settings]
    naming = {s.name for s in settings if s.role == ROLE}
    for table in site.tables():
        named = [name for name in table.columns if name in naming]
        if named and is_list(table, settings):
            yield table, named[0]


def _named(site: Site, table: Table, column: str) -> list[str]:
    """Return the networks whose gateways a list names."""
    names = gateway_names(site.plan.networks)
    found = {names.get(spelling(text)) for text in set(table.texts(column))}
    return [network for network in site.gateways if network in found]
