"""Which rows of gateway lists belong to one list, so that a later list of the same day counts on its own."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence, Set

from audit.diagnosis.lists import Sighting
from audit.grouping import grouped

HALF_A_DAY = datetime.timedelta(hours=12)
"""A list whose rows are further apart in time is hardly one list. Judgement."""


def time(one: Sighting) -> datetime.datetime:
    """Return the time of a row, for sorting; rows without one come first."""
    return one.at or datetime.datetime.min


def listed_at_once(found: Sequence[Sighting], exports: Set[int]) -> list[list[Sighting]]:
    """Return the rows that were listed together, the oldest first; those of one day are one list.

    They are several lists if an export lists a node again at a later time of that day; a day without a time
    counts as its first moment. `exports` are the ids of the tables that gateways exported, as opposed to
    what was read at the nodes one after the other.
    """
    groups: list[list[Sighting]] = []
    before: set[tuple[str, object]] = set()
    until = datetime.datetime.min
    for rows in sorted(_parts(found), key=lambda rows: (rows[-1].day, time(rows[-1]))):
        nodes = {(one.network, one.target) for one in rows if one.target}
        ordered = id(rows[0].table) in exports and len({one.timed for one in rows}) == 1
        again = ordered and until < time(rows[-1]) and bool(nodes & before)
        if not groups or groups[-1][0].day != rows[0].day or again:
            groups.append([])
            before = set()
        groups[-1].extend(rows)
        if ordered:
            before |= nodes
            until = time(rows[-1])
    return groups


def _parts(found: Sequence[Sighting]) -> list[list[Sighting]]:
    """Return the rows of each table that were listed together, the oldest row first in each part."""
    return [
        part
        for rows in _alike(sorted(found, key=time), lambda one: id(one.table))
        for part in _parts_of_table(rows)
    ]


def _parts_of_table(rows: Sequence[Sighting]) -> list[list[Sighting]]:
    """Return the rows of a table by day, unless they are one list that was made over midnight."""
    if _of_one_night(rows):
        return [list(rows)]
    return [part for of_day in _alike(rows, lambda one: one.day) for part in _parts_of_day(of_day)]


def _parts_of_day(rows: list[Sighting]) -> list[list[Sighting]]:
    """Return the rows of a day, split by time if a node is listed several times."""
    nodes = [(one.network, one.target) for one in rows if one.target]
    return [rows] if len(set(nodes)) == len(nodes) else _alike(rows, time)


def _of_one_night(rows: Sequence[Sighting]) -> bool:
    """Return whether rows of two days, oldest first, name each node once and are close together in time."""
    return (
        len({one.day for one in rows}) == 2
        and all(one.timed for one in rows)
        and len({(one.network, one.target or one.entry) for one in rows}) == len(rows)
        and time(rows[-1]) - time(rows[0]) < HALF_A_DAY
    )


def _alike(rows: Sequence[Sighting], key: Callable[[Sighting], object]) -> list[list[Sighting]]:
    """Return the rows in groups with equal keys, in the order of their first rows."""
    groups = grouped((key(one), one) for one in rows)
    return list(groups.values())
