"""Nodes that are in the plan twice: rows that were copied, or corrected by adding another row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Hashable, Iterable, Iterator, Sequence
from typing import NamedTuple

from audit.grouping import grouped
from audit.model.site import PlannedAgain
from audit.reading.identifiers import all_bare, bare
from audit.reading.loaded_plan import Group


class Entry(NamedTuple):
    """An entry in a group of the plan."""

    group: int
    row: int


Repeats = dict[Entry, list[Entry]]
"""First entry of a node → its further entries."""


def planned_twice(groups: Sequence[Group]) -> Repeats:
    """Return the nodes that are in a network more than once, by tag and serial number.

    Without a serial number, only entries that are the same in everything are certainly one node.
    """
    tags = [all_bare(group.table.texts("tag")) for group in groups]
    if len({tag for of_one in tags for tag in of_one}) == sum(map(len, tags)):
        return {}  # nearly always: nothing more to work out
    times = Counter(tag for of_one in tags for tag in of_one)
    entries = grouped(
        ((group.networks[e], tag, _known_by(group, e)), Entry(g, e))
        for g, group in enumerate(groups)
        for e, tag in enumerate(tags[g]) if times[tag] > 1
    )  # fmt: skip
    return {first: again for first, *again in entries.values() if again}


def _known_by(group: Group, e: int) -> Hashable:
    return bare(group.text(e, "serial")) or tuple(_texts(group, e, group.table.columns).items())


def left_out(repeats: Repeats) -> set[Entry]:
    """Return the entries that are not the first of their node: they become no device of the site."""
    return {entry for again in repeats.values() for entry in again}


def each_once(groups: Sequence[Group]) -> Iterator[tuple[Group, int]]:
    """Yield the devices of groups, in their order: each one's group, and its entry there."""
    repeats = left_out(planned_twice(groups))
    for g, group in enumerate(groups):
        yield from ((group, e) for e in range(len(group.types)) if (g, e) not in repeats)


def planned_again(
    groups: Sequence[Group], first: Entry, again: Iterable[Entry], secrets: Collection[str]
) -> list[PlannedAgain]:
    """Return where a node is planned again, and what differs there; access codes are not compared.

    A blank there is no difference: a second table need not have all columns.
    """
    found = []
    for entry in again:
        tables = [groups[at.group].table for at in (first, entry)]
        names = [name for name in {**tables[0].columns, **tables[1].columns} if name not in secrets]
        one, other = (_texts(groups[at.group], at.row, names) for at in (first, entry))
        otherwise = {
            name: tables[1].place(entry.row, name)
            for name in dict.fromkeys(("type", *names)) if other[name] not in ("", one[name])
        }  # fmt: skip
        found.append(PlannedAgain(tables[1].place(entry.row, "tag"), otherwise))
    return found


def _texts(group: Group, e: int, names: Iterable[str]) -> dict[str, str]:
    """Return what an entry has in some fields, and its device type."""
    return {name: bare(group.table.texts(name)[e]) for name in names} | {"type": group.types[e]}
