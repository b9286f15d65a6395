"""Merging: the readings of a device in several rows and files become one column a setting.

The newer reading of a setting wins; the older ones stay as evidence.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import replace

from audit.errors import InputProblems, Problem
from audit.identifying import Row
from audit.model.site import Block
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value, Values
from audit.reading.meanings import Meanings
from audit.reading.quoting import quoted

Rows = list[tuple[Table, int]]


def moment(text: str) -> datetime.datetime | None:
    """Return the time of an ISO 8601 text, in UTC where it states an offset; None for a blank."""
    if not text.strip():
        return None
    found = datetime.datetime.fromisoformat(text.strip())
    return found.astimezone(datetime.UTC).replace(tzinfo=None) if found.tzinfo else found


def in_order_of_time(devices: Iterable[list[tuple[Row, str]]], loose: list[Row]) -> None:
    """Sort the rows of each device, oldest reading first; undated ones first, then as given.

    The loose rows are put in the same order. Raises InputProblems for every time that cannot be read.
    """
    problems: dict[Place, Problem] = {}
    times: dict[str, datetime.datetime] = {"": datetime.datetime.min}

    def time_of(row: Row) -> datetime.datetime:
        text = row.table.texts("read_at")[row.entry]
        if text not in times:
            try:
                times[text] = moment(text) or datetime.datetime.min
            except ValueError:
                place = row.table.place(row.entry, "read_at")
                message = f"{quoted(text)} is not a date or time in ISO form"
                problems[place] = place.problem(message, "write it as 2026-03-31 or 2026-03-31T09:15")
                return datetime.datetime.min
        return times[text]

    several = list(devices)
    tables = {id(row.table): row.table for rows in several for row, _ in rows}
    if any("read_at" in table.columns for table in tables.values()):
        for rows in several:
            rows.sort(key=lambda one: time_of(one[0]))
    loose.sort(key=time_of)
    if problems:
        raise InputProblems(problems.values())


def found_columns(block: Block, rows: list[Rows], meanings: Meanings) -> Block:
    """Return the block with its found columns: only of settings that some table has."""
    tables = list({id(table): table for of_one in rows for table, _ in of_one}.values())
    single = len(tables) == 1 and all(len(of_one) == 1 for of_one in rows)
    entries = [of_one[0][1] for of_one in rows] if single else []
    as_given = single and entries == list(range(len(tables[0].rows)))
    found: dict[str, Values] = {}
    for setting in block.type.settings:
        having = [table for table in tables if setting.name in table.columns]
        if not having:
            continue
        columns = {id(table): meanings.column(table.columns[setting.name], setting) for table in having}
        if single:
            column = columns[id(tables[0])]
            found[setting.name] = (
                column if as_given else Values(map(column.__getitem__, entries), column.among)
            )
        else:
            among = {BLANK}.union(*(column.among for column in columns.values()))
            found[setting.name] = Values((_newest(of_one, columns) for of_one in rows), among)
    return replace(block, rows=rows, tables=tables, found=found)


def _newest(of_one: Rows, columns: Mapping[int, Values]) -> Value:
    """Return the newest value of a setting that is not blank."""
    for table, entry in reversed(of_one):
        column = columns.get(id(table))
        if column is not None and column[entry] is not BLANK:
            return column[entry]
    return BLANK
