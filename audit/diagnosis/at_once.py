"""Which rows of gateway lists belong to one list, so that a later list of the same day counts on its own."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence, Set

from audit.diagnosis.lists import Sighting
from audit.grouping import grouped

HALF_A_DAY = datetime.timedelta(hours=12)
"""A list whose rows are further apart in time is hardly one list. Judgement."""
ONE_ROUND = datetime.timedelta(days=7)
"""What was read from gateway to gateway, or from node to node, in this time shows one state. Judgement."""


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
    parts: list[list[Sighting]] = []
    for of_file in _alike(sorted(found, key=time), lambda one: one.table.file):
        if _of_one_round(of_file, found):
            parts.append(of_file)
        else:
            for rows in _alike(of_file, lambda one: id(one.table)):
                parts.extend(_parts_of_table(rows))
    return parts


def _of_one_round(rows: Sequence[Sighting], found: Sequence[Sighting]) -> bool:
    """Return whether a person read these rows of a file, oldest first, going from node to node once.

    A list of another file that was made meanwhile is newer than some of them, so they then count by the day.
    """
    first, last = time(rows[0]), time(rows[-1])
    return (
        all(one.at and one.table.texts("read_by")[one.entry].strip() for one in rows)
        and len(_nodes(rows)) == len(rows)
        and last - first <= ONE_ROUND
        and not any(first < time(one) < last for one in found if one.table.file != rows[0].table.file)
    )


def _nodes(rows: Sequence[Sighting]) -> set[tuple[str, object]]:
    """Return the devices that rows list; a device that is not in the plan counts by its row."""
    return {(one.network, one.target or (id(one.table), one.entry)) for one in rows}


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
        and len(_nodes(rows)) == len(rows)
        and time(rows[-1]) - time(rows[0]) < HALF_A_DAY
    )


def _alike(rows: Sequence[Sighting], key: Callable[[Sighting], object]) -> list[list[Sighting]]:
    """Return the rows in groups with equal keys, in the order of their first rows."""
    groups = grouped((key(one), one) for one in rows)
    return list(groups.values())
