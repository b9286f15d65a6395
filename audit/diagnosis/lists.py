"""Gateway lists: which nodes each gateway has in its list, when it heard them, and who is missing.

A list is any file with the roles `joined_gateway` or `last_heard`, or one given with `--gateway-list`. A
gateway's list of one day counts as one: the newest says who is missing, the older ones who had joined.
"""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from audit.diagnosis.words import duration
from audit.model.device import Setting
from audit.model.site import Site, Target
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value
from audit.phrases import counted
from audit.reading import units
from audit.reading.gateway_lists import LIST_SETTINGS
from audit.reading.gateway_names import gateway_names
from audit.reading.identifiers import bare, spelling
from audit.reading.moments import moment
from audit.reading.quoting import quoted
from audit.reading.values import parse


def names_of(site: Site, role: str) -> dict[str, Setting]:
    """Return the names that columns of a role have, with their settings."""
    own = LIST_SETTINGS.get(role)
    names = {own.name: own} if own else {}
    return names | {s.name: s for block in site.blocks for s in block.settings(role)}


class Cell(NamedTuple):
    """What stands in a row for a role."""

    value: Value
    setting: Setting
    place: Place

    def number(self, unit: str) -> float | None:
        """Return its number in a unit, None where it is none."""
        if self.value.number is None:
            return None
        number = units.convert(self.value.number, self.setting.unit or unit, unit)
        return None if number is None else float(number)


def cell(table: Table, entry: int, names: Mapping[str, Setting]) -> Cell | None:
    """Return the first of these columns that is not blank in a row."""
    for name, setting in names.items():
        column = table.columns.get(name)
        if column is not None and column.codes is None:
            value = parse(column.texts[entry], setting, column.style)
            if value is not BLANK:
                return Cell(value, setting, table.place(entry, name))
    return None


def time_of(table: Table, entry: int) -> datetime.datetime | None:
    """Return when a row was read; None where it does not say."""
    return moment(table.texts("read_at")[entry])


class Sighting(NamedTuple):
    """A row of a gateway's list."""

    table: Table
    entry: int
    network: str
    """The network of the gateway; empty for one that is not in the plan."""
    at: datetime.datetime | None
    target: Target | None
    """The planned device, None for one that is not in the plan."""
    heard: str
    """When or how long ago the gateway had heard it, as written; empty where the list does not say."""
    heard_s: float | None
    """How many seconds ago that was, where it can be told."""
    place: Place
    heard_place: Place | None = None
    """Where it stands how long ago it was heard."""

    @property
    def day(self) -> str:
        """The day of the list, empty where it has none."""
        return self.at.date().isoformat() if self.at else ""

    def heard_before(self) -> str:
        """Return when it was heard, to follow the words about a list; empty where the list does not say."""
        return "" if self.heard_s is None else f", heard {duration(self.heard_s)} before it was made"


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A gateway's list of one day."""

    network: str
    day: str
    sightings: Mapping[Target, Sighting]
    """Planned device → its newest row of that day."""
    strangers: Sequence[Sighting]
    files: Sequence[str]

    @property
    def size(self) -> int:
        """How many devices stand in it."""
        return len(self.sightings) + len({s.place for s in self.strangers})


@dataclass(frozen=True, slots=True)
class Lists:
    """All lists of a site."""

    by_network: Mapping[str, Sequence[Snapshot]]
    """Network → the lists of its gateway, oldest first; without those that have none.

    A gateway without a row in a file that lists several others has an empty list there: it hears nobody.
    """
    assumed: Sequence[str]
    """What was taken for granted, in words."""

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
        return sorted(found, key=lambda s: s.at or datetime.datetime.min)


def lists_of(site: Site, given: Sequence[Table]) -> Lists:
    """Return the lists of a site; every row of the tables in `given` is one of a list."""
    sightings, assumed = _sightings(site, {id(table) for table in given})
    groups: dict[tuple[str, str], list[Sighting]] = defaultdict(list)
    for one in sightings:
        groups[one.network, one.day].append(one)
    by_network: dict[str, list[Snapshot]] = defaultdict(list)
    for (network, day), rows in sorted(groups.items(), key=lambda item: item[0]):
        rows.sort(key=lambda s: s.at or datetime.datetime.min)
        seen = {one.target: one for one in rows if one.target}
        strangers = [one for one in rows if not one.target]
        by_network[network].append(Snapshot(network, day, seen, strangers, _files(rows)))
    joined = names_of(site, "joined_gateway")
    ids = {id(table) for table in given}
    listing = [s for s in sightings if id(s.table) in ids or any(n in s.table.columns for n in joined)]
    for network, empty in _empty(site, listing, by_network).items():
        by_network[network].append(empty)
    return Lists(by_network, assumed)


def _files(rows: Sequence[Sighting]) -> list[str]:
    return list(dict.fromkeys(one.table.file for one in rows))


def _empty(
    site: Site, sightings: Sequence[Sighting], by_network: Mapping[str, Sequence[Snapshot]]
) -> dict[str, Snapshot]:
    """Return the empty lists of gateways that are left out of the newest file that lists several."""
    networks_in: dict[str, set[str]] = defaultdict(set)
    for one in sightings:
        if one.network:
            networks_in[one.table.file].add(one.network)
    shared = {file for file, networks in networks_in.items() if len(networks) > 1}
    rows = [one for one in sightings if one.table.file in shared]
    day = max((one.day for one in rows), default="")
    newest = [one for one in rows if one.day == day]
    left_out = set(site.gateways) - {one.network for one in newest} if newest else set()
    return {
        network: Snapshot(network, day, {}, (), _files(newest))
        for network in site.gateways
        if network in left_out and _older(by_network.get(network, ()), day, shared)
    }


def _older(lists: Sequence[Snapshot], day: str, shared: set[str]) -> bool:
    """Tell whether a gateway's own newest list is older than a day, and came from files of several too."""
    return not lists or (lists[-1].day < day and bool(shared & set(lists[-1].files)))


def _rows(site: Site) -> Iterator[tuple[Table, int, Target | None]]:
    """Yield the readback rows of nodes, and of what is not in the plan."""
    for b, block in enumerate(site.blocks):
        for i, rows in enumerate(block.rows if not block.gateway else ()):
            for table, entry in rows:
                yield table, entry, (b, i)
    for stranger in site.strangers:
        for table, entry in stranger.rows:
            yield table, entry, None


def _sightings(site: Site, given: set[int]) -> tuple[list[Sighting], list[str]]:
    joined, heard = names_of(site, "joined_gateway"), names_of(site, "last_heard")
    gateways = gateway_names(site.plan.networks)
    owners, assumed = _owners(site, given)
    found = []
    for table, entry, target in _rows(site):
        says, since = cell(table, entry, joined), cell(table, entry, heard)
        if not (says or since or id(table) in given):
            continue
        if says:
            network = gateways.get(spelling(str(says.value.content)), "")
        else:
            text = bare(table.texts("network")[entry])
            network = gateways.get(spelling(text), "") or owners.get(id(table), "")
            if not network and target:
                network = site.blocks[target[0]].networks[target[1]]
        place = says.place if says else table.place(entry, _naming(table, entry))
        at = time_of(table, entry)
        words, seconds = (since.value.shown, _seconds_ago(since, at)) if since else ("", None)
        found.append(
            Sighting(table, entry, network, at, target, words, seconds, place, since.place if since else None)
        )
    return found, [*assumed, *_not_understood(found)]


def _seconds_ago(heard: Cell, at: datetime.datetime | None) -> float | None:
    """Return how long before the time of its row a node was heard, which tells how long, or when."""
    if heard.value.read:
        return heard.number("s")
    try:
        then = moment(heard.value.shown)
    except ValueError:
        return None
    return max(0.0, (at - then).total_seconds()) if at and then else None


def _not_understood(sightings: Sequence[Sighting]) -> list[str]:
    """Return what to say of rows that tell when a node was heard in a way that cannot be read."""
    texts: dict[str, list[str]] = defaultdict(list)
    for one in sightings:
        if one.heard and one.heard_s is None:
            texts[one.table.file].append(one.heard)
    return [
        f"{file}: when a node was last heard is not understood in {counted(len(rows), 'row')}, "
        f"{quoted(rows[0])} for one; such a node counts as heard"
        for file, rows in texts.items()
    ]


def _naming(table: Table, entry: int) -> str:
    return next((name for name in ("serial", "tag") if bare(table.texts(name)[entry])), "tag")


def _owners(site: Site, given: set[int]) -> tuple[dict[int, str], list[str]]:
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
