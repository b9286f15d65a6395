"""What people read at the nodes: it shows these nodes, and not that others are missing at the gateway."""

from __future__ import annotations

from collections.abc import Sequence, Set

from audit.diagnosis.at_once import time
from audit.diagnosis.lists import Sighting
from audit.model.site import Site
from audit.reading.gateway_lists import is_list


def lists_and_readings(
    site: Site, found: Sequence[Sighting], given: Set[int]
) -> tuple[list[Sighting], list[Sighting]]:
    """Return the rows of gateways' lists, and those of sheets that people filled in at the nodes.

    Such a sheet has settings that no gateway knows of its nodes, and names who read them. `given` has the ids
    of the tables that were given as lists.
    """
    settings = [setting for block in site.blocks for setting in block.type.settings]
    tables = {id(one.table): one.table for one in found}
    lists = {key for key, table in tables.items() if key in given or is_list(table, settings)}
    listed: list[Sighting] = []
    read: list[Sighting] = []
    for one in found:
        by_a_person = id(one.table) not in lists and one.table.texts("read_by")[one.entry].strip()
        (read if by_a_person else listed).append(one)
    return listed, read


def list_added_to(lists: Sequence[Sequence[Sighting]], reading: Sighting) -> int | None:
    """Return the number of the list that a reading adds to: the newest before it, or the first of its day.

    `lists` are those of its gateway, oldest first. None if there are only lists of later days, which show by
    themselves whether the node was still there.
    """
    before = [n for n, rows in enumerate(lists) if max(map(time, rows)) <= time(reading)]
    of_day = [n for n, rows in enumerate(lists) if rows[0].day == reading.day]
    if of_day and not (before and before[-1] >= of_day[0]):
        return of_day[0]
    return before[-1] if before else None
