"""Merging: the readings of a device in several rows and files become one column a setting.

The newer reading of a setting wins; the older ones stay as evidence.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import replace

from audit.errors import InputProblems, Problem
from audit.model.device import Setting
from audit.model.site import Block
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value
from audit.reading.meanings import Meanings

Rows = list[tuple[Table, int]]


def moment(text: str) -> datetime.datetime | None:
    """Return the time of an ISO 8601 text, in UTC where it states an offset; None for a blank."""
    if not text.strip():
        return None
    found = datetime.datetime.fromisoformat(text.strip())
    return found.astimezone(datetime.UTC).replace(tzinfo=None) if found.tzinfo else found


def in_order_of_time(of_device: Mapping[tuple[int, int], Rows]) -> None:
    """Sort the rows of each device, oldest reading first; undated ones first, then as given.

    Raises InputProblems for every time that cannot be read.
    """
    problems: dict[Place, Problem] = {}
    times: dict[str, datetime.datetime | None] = {}

    def time_of(row: tuple[Table, int]) -> datetime.datetime:
        table, entry = row
        text = table.texts("read_at")[entry] if "read_at" in table.columns else ""
        if text not in times:
            try:
                times[text] = moment(text)
            except ValueError:
                place = table.place(entry, "read_at")
                message = f"{text!r} is not a date or time in ISO form"
                mend = "write it as 2026-03-31 or 2026-03-31T09:15"
                problems[place] = place.problem(message, mend)
                return datetime.datetime.min
        return times[text] or datetime.datetime.min

    for rows in of_device.values():
        if len(rows) > 1:
            rows.sort(key=time_of)
        else:
            time_of(rows[0])
    if problems:
        raise InputProblems(problems.values())


def found_columns(block: Block, rows: list[Rows], meanings: Meanings) -> Block:
    """Return the block with its found columns: only of settings that some table has."""
    tables = list({id(table): table for of_one in rows for table, _ in of_one}.values())
    single = len(tables) == 1 and all(len(of_one) <= 1 for of_one in rows)
    found: dict[str, list[Value]] = {}
    for setting in block.type.settings:
        having = [table for table in tables if setting.name in table.columns]
        if not having:
            continue
        columns = {id(table): _lookup(table, setting, meanings) for table in having}
        if single:
            lookup = columns[id(tables[0])]
            found[setting.name] = [lookup(of_one[0][1]) if of_one else BLANK for of_one in rows]
        else:
            found[setting.name] = [_newest(of_one, columns) for of_one in rows]
    return replace(block, rows=rows, found=found)


def _lookup(table: Table, setting: Setting, meanings: Meanings) -> Callable[[int], Value]:
    return meanings.column(table.columns[setting.name], setting).__getitem__


def _newest(of_one: Rows, columns: Mapping[int, Callable[[int], Value]]) -> Value:
    for table, entry in reversed(of_one):
        lookup = columns.get(id(table))
        if lookup:
            value = lookup(entry)
            if value is not BLANK:
                return value
    return BLANK
