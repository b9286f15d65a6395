"""Merging: the readings of a device in several rows and files become one column for each setting.

The newer reading of a setting wins; the older ones are kept as evidence.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from audit.errors import Problem, stop_if
from audit.grouping import grouped
from audit.model.rows import Alike, InOneTable, Rows
from audit.model.site import Block
from audit.model.table import Table
from audit.model.value import BLANK, Value, Values
from audit.reading.meanings import Meanings
from audit.reading.moments import common_offset, moment, states_offset
from audit.reading.times import not_times


def times_read(tables: Iterable[Table]) -> dict[str, datetime.datetime]:
    """Return text → time for all times of reading in some tables; a blank one comes before all others.

    Times without an offset are taken to be on the clock that most of the others state. Raises InputProblems
    with every time that cannot be read.
    """
    times = {"": datetime.datetime.min}
    problems: list[Problem] = []
    for table in tables:
        texts = table.texts("read_at")
        bad: set[str] = set()
        for text in set(texts) if "read_at" in table.columns else ():
            try:
                times[text] = moment(text) or datetime.datetime.min
            except ValueError:
                bad.add(text)
        problems += not_times(table, "read_at", bad)
    stop_if(problems)
    return _on_one_clock(times)


def _on_one_clock(times: dict[str, datetime.datetime]) -> dict[str, datetime.datetime]:
    """Return the times, those that state no offset as being on the clock of the others."""
    stated = {
        text for text in times if "Z" in text.upper() or "+" in text or "-" in text[len("2026-01-01") :]
    }
    offset = common_offset(filter(states_offset, stated)) if 0 < len(stated) < len(times) else None
    if not offset:
        return times
    return {text: time if text in stated else _less(time, offset) for text, time in times.items()}


def _less(time: datetime.datetime, offset: datetime.timedelta) -> datetime.datetime:
    """Return a time minus an offset; one at the ends of the calendar stays as it is."""
    try:
        return time - offset
    except OverflowError:
        return time


def read_alike(rows: Sequence[Rows]) -> list[Alike]:
    """Return the devices of a block grouped by the tables of their readings."""
    if isinstance(rows, InOneTable):
        read = [i for i, entry in enumerate(rows.entries) if entry >= 0]
        unread = rows.blank()
        of_read = Alike(read, [rows.table], [_as_range([entry for entry in rows.entries if entry >= 0])])
        return [of_read, Alike(unread, [], [])] if unread else [of_read]
    groups = grouped((tuple([id(table) for table, _ in of_one]), i) for i, of_one in enumerate(rows))
    return [
        Alike(
            devices,
            [table for table, _ in rows[devices[0]]],
            [_as_range([rows[i][k][1] for i in devices]) for k in range(len(tables))],
        )
        for tables, devices in groups.items()
    ]


def _as_range(entries: Sequence[int]) -> Sequence[int]:
    """Return entries as a range if they are consecutive, so that a column need only be sliced."""
    whole = range(entries[0], entries[0] + len(entries))
    return whole if whole[-1] == entries[-1] and list(whole) == entries else entries


def found_columns(block: Block, rows: Sequence[Rows], meanings: Meanings) -> Block:
    """Return the block with its found columns, for the settings that some table has."""
    groups = read_alike(rows)
    tables = list({id(table): table for group in groups for table in group.tables}.values())
    found: dict[str, Values] = {}
    for setting in block.type.settings:
        columns = {
            id(table): meanings.column(table.columns[setting.name], setting)
            for table in tables
            if setting.name in table.columns
        }
        if columns:
            found[setting.name] = _merged(groups, len(block), columns)
    return replace(block, rows=rows, alike=groups, tables=tables, found=found)


def _merged(groups: Sequence[Alike], length: int, columns: Mapping[int, Values]) -> Values:
    """Return the newest value of a setting that is not blank, for every device."""
    newest = [_newest(group, columns) for group in groups]
    if len(newest) == 1:
        values = newest[0]
    else:
        values = [BLANK] * length
        for group, of_group in zip(groups, newest, strict=True):
            for i, value in zip(group.devices, of_group, strict=True):
                values[i] = value
    among = set().union(*(column.among for column in columns.values())) - {BLANK}
    return Values(values, among | {BLANK} if BLANK in values else among)


def _newest(group: Alike, columns: Mapping[int, Values]) -> list[Value]:
    """Return the newest value that is not blank for each device of a group."""
    newest: list[Value] = []
    for table, entries in zip(reversed(group.tables), reversed(group.entries), strict=True):
        column = columns.get(id(table))
        if column is None:
            continue
        if isinstance(entries, range):
            values = column[entries.start : entries.stop]
        else:
            values = list(map(column.__getitem__, entries))
        if newest:
            values = [new if new is not BLANK else old for new, old in zip(newest, values, strict=True)]
        newest = values
        if BLANK not in newest:
            break
    return newest or [BLANK] * len(group.devices)
