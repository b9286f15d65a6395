"""Each gateway's lists, one a time: the newest says who is missing, the older ones who had joined."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import NamedTuple

from audit.diagnosis.at_once import listed_at_once, time
from audit.diagnosis.lists import Sighting, names_of
from audit.diagnosis.reading_lists import read_lists
from audit.model.site import Site, Target
from audit.model.table import Table


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A gateway's list of one time."""

    network: str
    when: str
    """Its day; its time, as written, where there are several of that day; empty where it has none."""
    at: datetime.datetime | None
    """The time of its newest row."""
    timed: bool
    """Whether that is more than the day."""
    sightings: Mapping[Target, Sighting]
    """Planned device → its newest row in it."""
    strangers: Sequence[Sighting]
    files: Sequence[str]

    @property
    def size(self) -> int:
        """How many devices stand in it."""
        return len(self.sightings) + len({s.place for s in self.strangers})

    @property
    def day(self) -> str:
        """Its day, empty where it has none."""
        return self.at.date().isoformat() if self.at else ""


@dataclass(frozen=True, slots=True)
class Lists:
    """All lists of a site."""

    by_network: Mapping[str, Sequence[Snapshot]]
    """Network → the lists of its gateway, oldest first; without those that have none.

    A gateway without a row in a file that lists several others has an empty list there: it hears nobody.
    """
    assumed: Sequence[str]
    """What was taken for granted, in words."""
    doubts: Sequence[str]
    """What may hide that a node is missing, in words."""
    overtaken: Set[str]
    """Networks of gateways that perhaps hear nobody any more, by a newer list that leaves them out."""

    def newest(self, network: str) -> Snapshot | None:
        """Return the newest list of a gateway."""
        lists = self.by_network.get(network)
        return lists[-1] if lists else None

    def of(self, target: Target) -> list[Sighting]:
        """Return every row of a device in any list, oldest first."""
        found = [
            s for lists in self.by_network.values() for one in lists
            if (s := one.sightings.get(target)) is not None
        ]  # fmt: skip
        return sorted(found, key=time)


class _Listed(NamedTuple):
    """What a gateway listed at one time."""

    turn: int
    """How many times of listing, at any gateway, were before."""
    rows: Sequence[Sighting]
    by: Sequence[Sighting]
    """The rows that say so: its own, or those of the file that leaves it out."""


def lists_of(site: Site, given: Sequence[Table]) -> Lists:
    """Return the lists of a site; every row of the tables in `given` is one of a list."""
    ids = {id(table) for table in given}
    found, assumed, doubts = read_lists(site, ids)
    turns = listed_at_once(found, ids | {id(one.table) for one in found if one.heard})
    listed: dict[str, list[_Listed]] = defaultdict(list)
    for turn, rows in enumerate(turns):
        for network in {one.network for one in rows}:
            own = [one for one in rows if one.network == network]
            listed[network].append(_Listed(turn, own, own))
    naming = names_of(site, "joined_gateway")
    of_gateways = ids | {id(s.table) for s in found if any(name in s.table.columns for name in naming)}
    exports = [[one for one in rows if id(one.table) in of_gateways and one.network] for rows in turns]
    shared = _shared(exports)
    for network, empty in _empty(site, turns, listed, shared):
        listed[network].append(empty)
    overtaken = dict(_overtaken(site, exports, listed, shared))
    days = Counter(rows[0].day for rows in turns)
    by_network = {network: _snapshots(network, listed[network], days) for network in sorted(listed)}
    return Lists(by_network, assumed, [*doubts, *overtaken.values()], overtaken.keys())


def _snapshots(network: str, listed: Sequence[_Listed], of_day: Mapping[str, int]) -> list[Snapshot]:
    found = []
    for one in listed:
        rows, newest = sorted(one.rows, key=time), max(one.by, key=time)
        when = newest.read_at if newest.timed and of_day[newest.day] > 1 else newest.day
        seen = {row.target: row for row in rows if row.target}
        strangers = [row for row in rows if not row.target]
        found.append(Snapshot(network, when, newest.at, newest.timed, seen, strangers, _files(one.by)))
    return found


def _files(rows: Sequence[Sighting]) -> list[str]:
    return list(dict.fromkeys(one.table.file for one in rows))


def _shared(exports: Sequence[Sequence[Sighting]]) -> set[str]:
    """Return the files that list several gateways."""
    networks_in: dict[str, set[str]] = defaultdict(set)
    for one in (one for rows in exports for one in rows):
        networks_in[one.table.file].add(one.network)
    return {file for file, networks in networks_in.items() if len(networks) > 1}


def _empty(
    site: Site, turns: Sequence[Sequence[Sighting]], listed: Mapping[str, Sequence[_Listed]], shared: Set[str]
) -> Iterator[tuple[str, _Listed]]:
    """Yield the empty lists of gateways that are left out of the newest file that lists several.

    Such a gateway's own newest list is older than that, and came from files of several too.
    """
    for turn in reversed(range(len(turns))):
        rows = [one for one in turns[turn] if one.table.file in shared]
        if rows:
            break
    else:
        return
    for network in set(site.gateways) - {one.network for one in rows}:
        own = listed[network][-1] if network in listed else None
        if own is None or (own.turn < turn and shared & set(_files(own.by))):
            yield network, _Listed(turn, [], rows)


def _overtaken(
    site: Site,
    exports: Sequence[Sequence[Sighting]],
    listed: Mapping[str, Sequence[_Listed]],
    shared: Set[str],
) -> Iterator[tuple[str, str]]:
    """Yield what to say of gateways that stood in a file of several, and in no newer file of one.

    That may be a file of all gateways again, of which only one is left.
    """
    turn = max((n for n, rows in enumerate(exports) if rows), default=0)
    for network, (b, i) in site.gateways.items():
        own = listed[network][-1] if network in listed else None
        if own and own.turn < turn and shared & set(_files(own.by)):
            old, new = (max(rows, key=time) for rows in (own.by, exports[turn]))
            yield (
                network,
                f"{site.blocks[b].tags[i]} ({network}): its newest list {_of(old)} is older than "
                f"{', '.join(_files(exports[turn]))} {_of(new)}, without a row of it; if that tells of all "
                "gateways, it hears nobody",
            )


def _of(one: Sighting) -> str:
    return f"of {one.read_at}" if one.read_at else "without a date"
