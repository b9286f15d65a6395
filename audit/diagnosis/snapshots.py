"""Each gateway's lists, by time: the newest shows which nodes are missing, the older ones which joined."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from typing import NamedTuple

from audit.diagnosis.at_once import ONE_ROUND, listed_at_once, time
from audit.diagnosis.exchanges import Exchanges
from audit.diagnosis.lists import Sighting, names_of
from audit.diagnosis.other_serials import is_still_on, old_unit_words, with_owners
from audit.diagnosis.read_at_nodes import list_added_to
from audit.diagnosis.reading_lists import read_lists
from audit.diagnosis.snapshot import Lists, Snapshot
from audit.grouping import grouped
from audit.model.site import Site
from audit.model.table import Table


class _Listed(NamedTuple):
    """What a gateway listed at one time."""

    turn: int
    """How many listings, at any gateway, came before it."""
    rows: Sequence[Sighting]
    by: Sequence[Sighting]
    """The rows that show this: its own, or those of the file that leaves the gateway out."""


def lists_of(site: Site, given: Sequence[Table], exchanges: Exchanges, on: str) -> Lists:
    """Return the lists of a site; every row of the tables in `given` is a row of a list.

    A table there without rows is the only gateway's list of the day of the run, `on`.
    """
    ids = {id(table) for table in given}
    found, assumed, doubts = read_lists(site, ids)
    found = with_owners(site, found, exchanges)
    listed = [one for one in found if not one.at_node]
    turns = listed_at_once(listed, ids | {id(one.table) for one in listed if one.heard})
    exports = _exports(site, turns, ids)
    shared = _shared(exports)
    turns_of = _by_network(turns)
    for network, empty in _empty(site, turns, turns_of, shared):
        turns_of[network].append(empty)
    overtaken = dict(_overtaken(site, exports, turns_of, shared))
    _add_readings(turns_of, [one for one in found if one.at_node])
    days = Counter(rows[0].day for rows in turns)
    by_network = {network: _snapshots(network, turns_of[network], days) for network in sorted(turns_of)}
    empty_files = [table.file for table in given if not table.rows]
    if empty_files and len(site.gateways) == 1:
        (network,) = site.gateways
        at = datetime.datetime.fromisoformat(on) if on else None
        by_network.setdefault(network, []).append(Snapshot(network, on, at, False, {}, (), empty_files))
        assumed = [*assumed, f"{empty_files[0]}: lists no nodes, and is taken as the gateway's current list"]
    assumed = [*assumed, *_as_others(site, by_network)]
    doubts = [*doubts, *overtaken.values(), *_still_on(site, by_network, exchanges)]
    foreign = {
        (id(s.table), s.entry) for s in found
        if s.target and s.network != site.blocks[s.target[0]].networks[s.target[1]]
    }  # fmt: skip
    return Lists(by_network, assumed, doubts, overtaken.keys(), foreign)


def _exports(site: Site, turns: Sequence[Sequence[Sighting]], given: Set[int]) -> list[list[Sighting]]:
    """Return for each time the rows of the gateways' own files, without what was read at the nodes."""
    naming = names_of(site, "joined_gateway")
    own = given | {
        id(one.table) for rows in turns for one in rows if any(name in one.table.columns for name in naming)
    }
    return [[one for one in rows if id(one.table) in own and one.network] for rows in turns]


def _by_network(turns: Sequence[Sequence[Sighting]]) -> dict[str, list[_Listed]]:
    """Return what each gateway listed, by network, oldest first."""
    turns_of: dict[str, list[_Listed]] = defaultdict(list)
    for turn, rows in enumerate(turns):
        for network in {one.network for one in rows}:
            own = [one for one in rows if one.network == network]
            turns_of[network].append(_Listed(turn, own, own))
    return turns_of


def _add_readings(turns_of: dict[str, list[_Listed]], read: Sequence[Sighting]) -> None:
    """Add what was read at the nodes after the lists of their gateways, with these, or before them.

    A list stays as it was made, too: it shows which nodes had joined then, whatever was read at them since.
    """
    for network, of_network in grouped((one.network, one) for one in read).items():
        lists = turns_of[network]
        made = [max(one.by, key=time) for one in lists]
        added = grouped((list_added_to(made, row), row) for row in of_network)
        before = added.pop(None, [])
        turns_of[network] = [_Listed(-1, before, before)] if before else []
        for n, one in enumerate(lists):
            turns_of[network].append(one)
            if n in added:
                turns_of[network].append(one._replace(rows=[*one.rows, *added[n]]))


def _snapshots(network: str, turns: Sequence[_Listed], of_day: Mapping[str, int]) -> list[Snapshot]:
    found = []
    for one in turns:
        rows, newest = sorted(one.rows, key=_weight), max(one.by, key=time)
        when = newest.read_at if newest.timed and of_day[newest.day] > 1 else newest.day
        seen = {row.target: row for row in rows if row.target}
        strangers = [
            row for row in rows if not row.target or (row.under and seen[row.target].serial != row.serial)
        ]
        found.append(Snapshot(network, when, newest.at, newest.timed, seen, strangers, _files(one.by),
                              newest.read_at, newest.at_node))  # fmt: skip
    return found


def _as_others(site: Site, by_network: Mapping[str, Sequence[Snapshot]]) -> Iterator[str]:
    """Yield what to say of nodes whose serial number in the newest list is not the planned one."""
    for lists in by_network.values():
        for (b, i), one in lists[-1].sightings.items():
            if one.under:
                tag, serial = site.blocks[b].tags[i], site.blocks[b].serials[i]
                by = " by its tag" if one.tag else ", under whose tag it was read"
                by = f" by change {one.change}" if one.change else by
                plan = f"planned with {serial}" if serial else "planned without a serial number"
                yield f"{one.table.file}: {one.under} is taken for {tag}{by}, {plan}"


def _still_on(
    site: Site, by_network: Mapping[str, Sequence[Snapshot]], exchanges: Exchanges
) -> Iterator[str]:
    """Yield what to say of nodes whose unit was exchanged, but whose old unit is still in the newest list."""
    for lists in by_network.values():
        for (b, i), one in lists[-1].sightings.items():
            exchange = exchanges.get((b, i))
            if exchange and is_still_on(one, exchange):
                words = old_unit_words(one, exchange)
                yield f"{one.table.file}: {site.blocks[b].tags[i]} ({lists[-1].network}) is heard{words}"


def _weight(row: Sighting) -> tuple[int, datetime.datetime]:
    """Return by what one of several rows of a node counts before others: record, serial number, time."""
    return 2 if row.change else 0 if row.under else 1, time(row)


def _files(rows: Sequence[Sighting]) -> list[str]:
    return list(dict.fromkeys(one.table.file for one in rows))


def _shared(exports: Sequence[Sequence[Sighting]]) -> set[str]:
    """Return the files that list several gateways."""
    networks_in: dict[str, set[str]] = defaultdict(set)
    for one in (one for rows in exports for one in rows):
        networks_in[one.table.file].add(one.network)
    return {file for file, networks in networks_in.items() if len(networks) > 1}


def _empty(
    site: Site,
    turns: Sequence[Sequence[Sighting]],
    turns_of: Mapping[str, Sequence[_Listed]],
    shared: Set[str],
) -> Iterator[tuple[str, _Listed]]:
    """Yield the empty lists of gateways that the newest file with several gateways leaves out.

    Such a gateway has no list, or its newest one is older and came from a file with several gateways too.
    """
    in_shared = [[one for one in rows if one.table.file in shared] for rows in turns]
    turn = max((n for n, rows in enumerate(in_shared) if rows), default=None)
    if turn is None:
        return
    rows = in_shared[turn]
    for network in set(site.gateways) - {one.network for one in rows}:
        own = turns_of[network][-1] if network in turns_of else None
        if own is None or (own.turn < turn and shared & set(_files(own.by))):
            yield network, _Listed(turn, [], rows)


def _overtaken(
    site: Site,
    exports: Sequence[Sequence[Sighting]],
    turns_of: Mapping[str, Sequence[_Listed]],
    shared: Set[str],
) -> Iterator[tuple[str, str]]:
    """Yield what to say of gateways whose newest list is older than that of another gateway.

    If theirs was in a file of several gateways, the newer file may be one of all gateways again, of which
    only one is left. If not, one round of the site is no reason to doubt a list.
    """
    turn = max((n for n, rows in enumerate(exports) if rows), default=0)
    for network, (b, i) in site.gateways.items():
        own = turns_of[network][-1] if network in turns_of else None
        if not own or own.turn >= turn:
            continue
        old, new = (max(rows, key=time) for rows in (own.by, exports[turn]))
        tag, files = site.blocks[b].tags[i], ", ".join(_files(exports[turn]))
        older = f"{tag} ({network}): its newest list {_of(old)} is older than {files} {_of(new)}"
        if shared & set(_files(own.by)):
            yield network, f"{older}, which has no row of it; if that covers all gateways, it hears no nodes"
        elif old.at and new.at and new.at - old.at > ONE_ROUND:
            yield network, f"{older}; which of its nodes it has lost since is not known: take a new list"


def _of(one: Sighting) -> str:
    return f"of {one.read_at}" if one.read_at else "without a date"
