"""What people read at the nodes: it shows these nodes, and not that others are missing at the gateway."""

from __future__ import annotations

from collections.abc import Sequence, Set

from audit.diagnosis.at_once import time
from audit.diagnosis.lists import Sighting
from audit.model.site import Site
from audit.model.table import Table
from audit.reading.gateway_lists import is_list
from audit.reading.moments import is_later


def sheets_of(site: Site, given: Set[int]) -> set[int]:
    """Return the ids of the tables that have settings which no gateway knows of its nodes.

    A row in which such a table names a person was read at the node. `given` has the ids of the tables that
    were given as lists.
    """
    settings = [setting for block in site.blocks for setting in block.type.settings]
    return {id(table) for table in site.tables() if not is_list(table, settings)} - given


def is_read_at_node(table: Table, entry: int, sheets: Set[int]) -> bool:
    """Tell whether a person read a row at the node, where `sheets` has the ids of such tables."""
    return id(table) in sheets and bool(table.texts("read_by")[entry].strip())


def list_added_to(lists: Sequence[Sighting], reading: Sighting) -> int | None:
    """Return the number of the list that a reading adds to: the newest before it, or the first of its day.

    `lists` has the newest row of those of its gateway, oldest first. None if all are shown to be later, so
    that they show by themselves whether the node was still there.
    """
    before = [n for n, one in enumerate(lists) if time(one) <= time(reading)]
    of_day = [n for n, one in enumerate(lists)
              if one.day == reading.day and not is_later(one.read_at, reading.read_at)]  # fmt: skip
    if of_day and not (before and before[-1] >= of_day[0]):
        return of_day[0]
    return before[-1] if before else None
