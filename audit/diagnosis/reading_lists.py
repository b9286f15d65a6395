"""The rows of all gateway lists of a site, and what they leave open.

A list is any file with a column of the role `joined_gateway` or `last_heard`, or given with `--gateway-list`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from typing import NamedTuple

from audit.diagnosis.lists import Cell, Sighting, cell, names_of, time_of
from audit.diagnosis.read_at_nodes import is_read_at_node, sheets_of
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.site import Site, Target
from audit.model.table import Table
from audit.phrases import counted, listed
from audit.reading.gateway_names import gateway_names
from audit.reading.heard import NEVER, NOT_HEARD
from audit.reading.identifiers import bare, spelling
from audit.reading.quoting import quoted


def _rows(site: Site) -> Iterator[tuple[Table, int, Target | None]]:
    """Yield the readback rows of nodes, and of devices that are not in the plan."""
    for b, block in enumerate(site.blocks):
        for i, rows in enumerate(block.rows if not block.gateway else ()):
            for table, entry in rows:
                yield table, entry, (b, i)
    for stranger in site.strangers:
        for table, entry in stranger.rows:
            yield table, entry, None


class _Row(NamedTuple):
    """A row of a readback, with what it says as a row of a list."""

    table: Table
    entry: int
    target: Target | None
    gateway: Cell | None
    """At which gateway the node is; None if the row names none."""
    heard: Cell | None
    """When the node was heard."""
    at_node: bool
    """Whether a person read it at the node: then a blank means not read, and not that it is not heard."""


class Read(NamedTuple):
    """What was read from all lists."""

    sightings: Sequence[Sighting]
    assumed: Sequence[str]
    """What was taken for granted, in words."""
    doubts: Sequence[str]
    """What may hide that a node is missing, in words."""


def read_lists(site: Site, given: Set[int]) -> Read:
    """Return the rows of all lists; every row of the tables with the ids in `given` is a row of a list."""
    joined, heard = names_of(site, "joined_gateway"), names_of(site, "last_heard")
    gateways = gateway_names(site.plan.networks)
    owners, assumed = _owners(site, given)
    sheets = sheets_of(site, given)
    rows = [
        _Row(table, entry, target, _gateway(table, entry, joined), cell(table, entry, heard),
             is_read_at_node(table, entry, sheets))
        for table, entry, target in _rows(site)
    ]  # fmt: skip
    naming_gateways = {id(row.table) for row in rows if row.gateway}
    with_times = {id(row.table) for row in rows if row.heard}
    at_nodes = [row for row in rows if row.at_node]
    listing = [
        row for row in rows if not row.at_node and (row.gateway or row.heard or id(row.table) in given)
    ]
    not_joined = [row for row in listing if not row.gateway and id(row.table) in naming_gateways]
    counted_in = [row for row in listing if row.gateway or id(row.table) not in naming_gateways]
    found = []
    for row in counted_in:
        key = id(row.table)
        mark = _mark(row, heard) if key in with_times else ""
        found.append(_sighting(row, _network(site, row, gateways, owners.get(key, "")), mark))
    unheard = _hearing_none(site, not_joined, joined)
    told = {(id(one.table), one.entry) for one in unheard}
    not_joined = [row for row in not_joined if (id(row.table), row.entry) not in told]
    read = list(_read_at_nodes(site, at_nodes, joined, gateways))
    found = [*_never_heard(found), *unheard, *read]
    doubts = [*_not_understood([*counted_in, *at_nodes]), *_without_times(found, heard)]
    return Read(found, [*assumed, *_not_joined(not_joined), *_not_planned(counted_in, gateways)], doubts)


def _read_at_nodes(
    site: Site, rows: Iterable[_Row], names: Mapping[str, Setting], gateways: Mapping[str, str]
) -> Iterator[Sighting]:
    """Yield what was read at nodes: at which gateway each is, and that it is not at its own if at another.

    A word such as none says that a node has joined no gateway; other blanks were not read.
    """
    for row in rows:
        table, entry = row.table, row.entry
        none = next((name for name in names if table.texts(name)[entry].strip().casefold() in NOT_HEARD), "")
        network = _network(site, row, gateways, "")
        if row.gateway or (row.heard and not none):
            yield _sighting(row, network, "")
        own = site.blocks[row.target[0]].networks[row.target[1]] if row.target else ""
        if own and row.gateway and network not in ("", own):
            one = _sighting(row._replace(heard=None), own, row.gateway.value.shown)
            yield one._replace(heard_s=NEVER)
        elif own and none and not row.gateway:
            one = _sighting(row._replace(heard=None), own, "")
            yield one._replace(heard_s=NEVER, place=table.place(entry, none))


def _hearing_none(site: Site, rows: Iterable[_Row], names: Mapping[str, Setting]) -> list[Sighting]:
    """Return the rows of a table that says of every node of a network, in words, that it is not heard.

    They are the list of that network's gateway: a node without a gateway may be missing from any list.
    """
    saying: dict[tuple[int, str], dict[Target, Sighting]] = defaultdict(dict)
    for row in rows:
        word = cell(row.table, row.entry, names)
        if row.target and (word or (row.heard and row.heard.number("s") == NEVER)):
            network = site.blocks[row.target[0]].networks[row.target[1]]
            one = _sighting(row, network, word.value.shown if word else "")._replace(heard_s=NEVER)
            saying[id(row.table), network][row.target] = one
    nodes = site.nodes()
    return [
        one for (_, network), found in saying.items()
        if found.keys() >= set(nodes[network]) for one in found.values()
    ]  # fmt: skip


def _network(site: Site, row: _Row, gateways: Mapping[str, str], owner: str) -> str:
    """Return the network of the gateway that a row belongs to, empty for one that is not in the plan.

    It is the gateway that the row names; else the file's owner; else the node's.
    """
    if row.gateway:
        return gateways.get(spelling(str(row.gateway.value.content)), "")
    named = gateways.get(spelling(bare(row.table.texts("network")[row.entry])), "") or owner
    return named or (site.blocks[row.target[0]].networks[row.target[1]] if row.target else "")


def _sighting(row: _Row, network: str, mark: str) -> Sighting:
    """Return a row as one of a gateway's list; `mark` is what it has instead of a time."""
    table, entry, target, gateway, heard, at_node = row
    place = gateway.place if gateway else table.place(entry, _naming(table, entry))
    words = heard.place.raw.strip() if heard else mark
    seconds, where = (heard.number("s"), heard.place) if heard else (None, None)
    at = time_of(table, entry)
    return Sighting(table, entry, network, at, target, words, seconds, place, where, at_node)


def _gateway(table: Table, entry: int, names: Mapping[str, Setting]) -> Cell | None:
    """Return the gateway that a row names; a word such as none is no gateway."""
    found = cell(table, entry, names)
    return None if found and found.value.shown.casefold() in NOT_HEARD else found


def _mark(row: _Row, names: Iterable[str]) -> str:
    """Return what a row has instead of a value in these columns, for instance a dash."""
    return next((text for name in names if (text := row.table.texts(name)[row.entry].strip())), "")


def _never_heard(found: Sequence[Sighting]) -> list[Sighting]:
    """Mark the rows that do not say when a node was heard, though other rows of the gateway do."""
    with_times = {(id(one.table), one.network) for one in found if one.heard_s is not None}
    tables = {key for key, _ in with_times}
    return [
        one._replace(heard_s=NEVER)
        if one.heard_place is None
        and ((id(one.table), one.network) in with_times or (one.heard and id(one.table) in tables))
        else one
        for one in found
    ]


def _not_joined(rows: Sequence[_Row]) -> list[str]:
    """Return what to say of rows without a gateway, in files that name one in other rows."""
    names = grouped(
        (row.table.file, bare(row.table.texts(_naming(row.table, row.entry))[row.entry])) for row in rows
    )
    return [
        f"{file}: {counted(len(of_file), 'row')} without a gateway, for example that of "
        f"{quoted(of_file[0])}; such nodes count as not joined"
        for file, of_file in names.items()
    ]


def _not_planned(rows: Sequence[_Row], gateways: Mapping[str, str]) -> list[str]:
    """Return what to say of planned nodes that are listed under gateways that are not in the plan."""
    names = grouped(
        (row.table.file, row.gateway.value.shown)
        for row in rows
        if row.target and row.gateway and spelling(str(row.gateway.value.content)) not in gateways
    )
    return [
        f"{file}: {counted(len(of_file), 'row')} of planned nodes under a gateway that is not in the plan: "
        f"{listed([*map(quoted, dict.fromkeys(of_file))], 3)}; if it is a planned one, say which under "
        "`values` in a mapping"
        for file, of_file in names.items()
    ]


def _not_understood(rows: Sequence[_Row]) -> list[str]:
    """Return what to say of rows in which the time when a node was heard cannot be read."""
    cells = grouped(
        (row.table.file, row.heard) for row in rows if row.heard and row.heard.number("s") is None
    )
    return [
        f"{file}: the time when a node was last heard is not understood in {counted(len(of_file), 'row')}; "
        f"such nodes count as heard; for example, {of_file[0].value.note or quoted(of_file[0].value.shown)}"
        for file, of_file in cells.items()
    ]


def _without_times(found: Sequence[Sighting], names: Iterable[str]) -> list[str]:
    """Return what to say of gateways of which no row says when a node was heard, though it could."""
    timed = (one for one in found if one.heard_place or not one.at_node)  # having joined none is no time
    with_times = {one.table.file for one in timed if one.heard_s is not None}
    with_column = {one.table.file for one in found if any(name in one.table.columns for name in names)}
    untimed = [one for one in found if one.network and one.heard_s is None and not one.heard]
    return [
        f"{file}: no row of {network} says when its node was heard, as others do; its nodes count as heard"
        for file, network in dict.fromkeys((one.table.file, one.network) for one in untimed)
        if file in with_times
    ] + [
        f"{file}: no row says when its node was heard, though there is a column for it; all count as heard"
        for file in dict.fromkeys(one.table.file for one in untimed)
        if file in with_column - with_times
    ]


def _naming(table: Table, entry: int) -> str:
    return next((name for name in ("serial", "tag") if bare(table.texts(name)[entry])), "tag")


def _owners(site: Site, given: Set[int]) -> tuple[dict[int, str], list[str]]:
    """Return the network of each given list that does not name its gateway: that of most of its nodes.

    Without one, each node counts as in the list of its own gateway.
    """
    joined = names_of(site, "joined_gateway")
    unnamed = grouped(
        (id(table), (table.file, site.blocks[target[0]].networks[target[1]]))
        for table, _, target in _rows(site)
        if target and id(table) in given and not any(name in table.columns for name in (*joined, "network"))
    )
    owners: dict[int, str] = {}
    assumed = []
    for key, nodes in unnamed.items():
        network, most = Counter(network for _, network in nodes).most_common(1)[0]
        whose = "its nodes count as in the list of the gateway that they are planned for"
        if 2 * most > len(nodes):
            owners[key], whose = network, f"most of its nodes are planned for {network}"
        if len(site.gateways) > 1:
            assumed.append(f"{nodes[0][0]} does not say whose list it is; {whose}")
    return owners, assumed
