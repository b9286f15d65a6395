"""The rows of all gateway lists of a site, and what they leave open.

A list is any file with the roles `joined_gateway` or `last_heard`, or one given with `--gateway-list`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from typing import NamedTuple

from audit.diagnosis.lists import Cell, Sighting, cell, names_of, time_of
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.site import Site, Target
from audit.model.table import Table
from audit.phrases import counted
from audit.reading.gateway_names import gateway_names
from audit.reading.heard import NEVER, NOT_HEARD
from audit.reading.identifiers import bare, spelling
from audit.reading.quoting import quoted


def _rows(site: Site) -> Iterator[tuple[Table, int, Target | None]]:
    """Yield the readback rows of nodes, and of what is not in the plan."""
    for b, block in enumerate(site.blocks):
        for i, rows in enumerate(block.rows if not block.gateway else ()):
            for table, entry in rows:
                yield table, entry, (b, i)
    for stranger in site.strangers:
        for table, entry in stranger.rows:
            yield table, entry, None


class _Row(NamedTuple):
    """A row of a readback, with what a list says in it."""

    table: Table
    entry: int
    target: Target | None
    says: Cell | None
    """At which gateway it is; None where the row names none."""
    since: Cell | None
    """When it was heard."""


class Read(NamedTuple):
    """What was read of all lists."""

    sightings: Sequence[Sighting]
    assumed: Sequence[str]
    """What was taken for granted, in words."""
    doubts: Sequence[str]
    """What may hide that a node is missing, in words."""


def read_lists(site: Site, given: Set[int]) -> Read:
    """Return the rows of all lists; every row of the tables with the ids in `given` is one."""
    joined, heard = names_of(site, "joined_gateway"), names_of(site, "last_heard")
    gateways = gateway_names(site.plan.networks)
    owners, assumed = _owners(site, given)
    rows = [
        _Row(table, entry, target, _gateway(table, entry, joined), cell(table, entry, heard))
        for table, entry, target in _rows(site)
    ]
    naming = {id(row.table) for row in rows if row.says}
    telling = {id(row.table) for row in rows if row.since}
    listing = [row for row in rows if row.says or row.since or id(row.table) in given]
    nowhere = [row for row in listing if not row.says and id(row.table) in naming]
    counted_in = [row for row in listing if row.says or id(row.table) not in naming]
    found = []
    for row in counted_in:
        key = id(row.table)
        mark = _mark(row, heard) if key in telling else ""
        found.append(_sighting(row, _network(site, row, gateways, owners.get(key, "")), mark))
    found = _never_heard(found)
    doubts = [*_not_understood(counted_in), *_not_told(found, heard)]
    return Read(found, [*assumed, *_not_joined(nowhere)], doubts)


def _network(site: Site, row: _Row, gateways: Mapping[str, str], owner: str) -> str:
    """Return the network of the gateway that a row is of, blank for one that is not in the plan.

    It is the one that the row names; else the file's owner, else that of the node.
    """
    if row.says:
        return gateways.get(spelling(str(row.says.value.content)), "")
    named = gateways.get(spelling(bare(row.table.texts("network")[row.entry])), "") or owner
    return named or (site.blocks[row.target[0]].networks[row.target[1]] if row.target else "")


def _sighting(row: _Row, network: str, mark: str) -> Sighting:
    """Return a row as one of a gateway's list; `mark` stands where it does not say when it was heard."""
    table, entry, target, says, since = row
    place = says.place if says else table.place(entry, _naming(table, entry))
    words = since.place.raw.strip() if since else mark
    seconds, where = (since.number("s"), since.place) if since else (None, None)
    return Sighting(table, entry, network, time_of(table, entry), target, words, seconds, place, where)


def _gateway(table: Table, entry: int, names: Mapping[str, Setting]) -> Cell | None:
    """Return the gateway that a row names; a word for none is none."""
    says = cell(table, entry, names)
    return None if says and says.value.shown.casefold() in NOT_HEARD else says


def _mark(row: _Row, names: Iterable[str]) -> str:
    """Return what stands for nothing in the columns of these names, a dash for instance."""
    return next((text for name in names if (text := row.table.texts(name)[row.entry].strip())), "")


def _never_heard(found: Sequence[Sighting]) -> list[Sighting]:
    """Mark the rows that say not when a node was heard, where other rows of the gateway do."""
    telling = {(id(one.table), one.network) for one in found if one.heard_s is not None}
    files = {key for key, _ in telling}
    return [
        one._replace(heard_s=NEVER)
        if one.heard_place is None
        and ((id(one.table), one.network) in telling or (one.heard and id(one.table) in files))
        else one
        for one in found
    ]


def _not_joined(rows: Sequence[_Row]) -> list[str]:
    """Return what to say of rows without a gateway, in files that name one in others."""
    names: dict[str, list[str]] = defaultdict(list)
    for row in rows:
        names[row.table.file].append(bare(row.table.texts(_naming(row.table, row.entry))[row.entry]))
    return [
        f"{file}: {counted(len(of_file), 'row')} of no gateway, that of {quoted(of_file[0])} for one; "
        "such a node counts as not joined"
        for file, of_file in names.items()
    ]


def _not_understood(rows: Sequence[_Row]) -> list[str]:
    """Return what to say of rows that tell when a node was heard in a way that cannot be read."""
    cells = grouped(
        (row.table.file, row.since) for row in rows if row.since and row.since.number("s") is None
    )
    return [
        f"{file}: when a node was last heard is not understood in {counted(len(of_file), 'row')}; such a "
        f"node counts as heard; for one, {of_file[0].value.note or quoted(of_file[0].value.shown)}"
        for file, of_file in cells.items()
    ]


def _not_told(found: Sequence[Sighting], names: Iterable[str]) -> list[str]:
    """Return what to say of gateways of which no row says when a node was heard, though it might."""
    files = {one.table.file for one in found if one.heard_s is not None}
    asked = {one.table.file for one in found if any(name in one.table.columns for name in names)} - files
    silent = [one for one in found if one.network and one.heard_s is None and not one.heard]
    return [
        f"{file}: no row of {network} says when its node was heard, as others do; it counts as heard"
        for file, network in dict.fromkeys((one.table.file, one.network) for one in silent)
        if file in files
    ] + [
        f"{file}: no row says when its node was heard, though it has a column for it; all count as heard"
        for file in dict.fromkeys(one.table.file for one in silent)
        if file in asked
    ]


def _naming(table: Table, entry: int) -> str:
    return next((name for name in ("serial", "tag") if bare(table.texts(name)[entry])), "tag")


def _owners(site: Site, given: Set[int]) -> tuple[dict[int, str], list[str]]:
    """Return the network of each list given that does not name its gateway: that of most of its nodes."""
    joined = names_of(site, "joined_gateway")
    votes: dict[int, Counter[str]] = defaultdict(Counter)
    tables: dict[int, Table] = {}
    for table, _, target in _rows(site):
        unnamed = not any(name in table.columns for name in (*joined, "network"))
        if id(table) in given and unnamed:
            tables[id(table)] = table
            if target:
                votes[id(table)][site.blocks[target[0]].networks[target[1]]] += 1
    owners = {key: count.most_common(1)[0][0] for key, count in votes.items()}
    assumed = [
        f"{tables[key].file} does not say whose list it is; most of its nodes are planned for {network}"
        for key, network in owners.items() if len(site.gateways) > 1
    ]  # fmt: skip
    return owners, assumed
