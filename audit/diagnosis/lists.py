"""The rows of gateway lists: which node each is about, at which gateway, and when it was heard there.

A list is any file with the roles `joined_gateway` or `last_heard`, or one given with `--gateway-list`.
"""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
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
from audit.reading.moments import day_alone, moment
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

    @property
    def read_at(self) -> str:
        """When it was read, as written."""
        return self.table.texts("read_at")[self.entry].strip()

    @property
    def timed(self) -> bool:
        """Whether it says the time of the day."""
        return bool(self.read_at) and not day_alone(self.read_at)

    def heard_before(self) -> str:
        """Return when it was heard, to follow the words about a list; empty where the list does not say."""
        return "" if self.heard_s is None else f", heard {duration(self.heard_s)} before it was made"


def _rows(site: Site) -> Iterator[tuple[Table, int, Target | None]]:
    """Yield the readback rows of nodes, and of what is not in the plan."""
    for b, block in enumerate(site.blocks):
        for i, rows in enumerate(block.rows if not block.gateway else ()):
            for table, entry in rows:
                yield table, entry, (b, i)
    for stranger in site.strangers:
        for table, entry in stranger.rows:
            yield table, entry, None


def sightings(site: Site, given: set[int]) -> tuple[list[Sighting], list[str]]:
    """Return the rows of all lists, and what was taken for granted; `given` are ids of tables of lists."""
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


def _not_understood(found: Sequence[Sighting]) -> list[str]:
    """Return what to say of rows that tell when a node was heard in a way that cannot be read."""
    texts: dict[str, list[str]] = defaultdict(list)
    for one in found:
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
