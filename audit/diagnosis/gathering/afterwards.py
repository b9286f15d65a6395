"""What was read at the node itself after it was lost: somebody was there then, and it showed its settings."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from audit.diagnosis.evidence import Answered
from audit.diagnosis.examined import Case
from audit.diagnosis.lists import names_of, time_of
from audit.diagnosis.missing import lost_between, state_of
from audit.model.roles import NETWORK_ROLES
from audit.model.table import Place


def somebody_was_there(case: Case, *, answer: str, words: str) -> Answered | None:
    """Return what follows from the node having been read after it was lost."""
    for at, where in read_there(case):
        read = f"its {where.heading} was read there on {at.isoformat(' ', 'minutes')}, after it was lost"
        return Answered(answer, f"{words}: {read}", (where,))
    return None


def read_there(case: Case) -> Iterator[tuple[datetime.datetime, Place]]:
    """Yield the rows that were read at a node after it was lost: when, and a place in each.

    They have a radio setting, which a lost node shows only at its own menu, and are from no gateway's list.
    """
    lost = _lost(case)
    names = [setting.name for role in NETWORK_ROLES for setting in case.block.settings(role)]
    of_lists = {name for role in ("joined_gateway", "last_heard") for name in names_of(case.site, role)}
    for table, entry in case.rows if lost else ():
        at = time_of(table, entry)
        read = [
            name for name in names
            if (column := table.columns.get(name)) and not column.is_blank(entry)
        ]  # fmt: skip
        if at and lost and at > lost and read and not of_lists & table.columns.keys():
            yield at, table.place(entry, read[0])


def _lost(case: Case) -> datetime.datetime | None:
    """Return a time at which the node was already lost; None if no list says so."""
    newest = case.examined.lists.newest(case.network)
    if state_of(case.examined, case.target)[0] == "not listed" and newest:
        made = [seen.at for seen in (*newest.sightings.values(), *newest.strangers)
                if seen.at and not seen.at_node]  # fmt: skip
        last = max(made, default=None)
        if last and last.time() == datetime.time():  # without a clock time, it may be any hour of that day
            return datetime.datetime.combine(last, datetime.time.max)
        return last
    lost = lost_between(case)
    return lost[1] if lost else None
