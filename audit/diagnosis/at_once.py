"""Which rows of gateway lists were listed at one time, so that a later list of a day stands for itself."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence, Set

from audit.diagnosis.lists import Sighting

HALF_A_DAY = datetime.timedelta(hours=12)
"""A list that takes longer to be made is hardly one. Judgement."""


def time(one: Sighting) -> datetime.datetime:
    """Return the time of a row, for sorting; rows without one come first."""
    return one.at or datetime.datetime.min


def listed_at_once(found: Sequence[Sighting], exports: Set[int]) -> list[list[Sighting]]:
    """Return the rows that were listed together, the oldest first; a day is one list.

    It is several where an export lists a node again at a later time of the day, of which a day alone is the
    first moment; `exports` are the ids of the tables that are exports of gateways, and not what was read at
    the nodes one after the other.
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


def _over_midnight(found: Sequence[Sighting]) -> set[int]:
    """Return the ids of the tables that are one list of a night, made from before midnight to after it."""
    tables: dict[int, list[Sighting]] = defaultdict(list)
    for one in found:
        tables[id(one.table)].append(one)
    return {
        key for key, rows in tables.items()
        if all(one.timed for one in rows) and len({one.day for one in rows}) == 2
        and len({(one.network, one.target or one.entry) for one in rows}) == len(rows)
        and max(map(time, rows)) - min(map(time, rows)) < HALF_A_DAY
    }  # fmt: skip


def _parts(found: Sequence[Sighting]) -> list[list[Sighting]]:
    """Return the rows of each table by day; by time where the table lists a node several times."""
    of_table: dict[tuple[int, str], list[Sighting]] = defaultdict(list)
    over_midnight = _over_midnight(found)
    for one in found:
        of_table[id(one.table), "" if id(one.table) in over_midnight else one.day].append(one)
    parts = []
    for rows in of_table.values():
        rows.sort(key=time)
        nodes = [(one.network, one.target) for one in rows if one.target]
        if len(set(nodes)) == len(nodes):
            parts.append(rows)
            continue
        by_time: dict[datetime.datetime, list[Sighting]] = defaultdict(list)
        for one in rows:
            by_time[time(one)].append(one)
        parts.extend(by_time.values())
    return parts
