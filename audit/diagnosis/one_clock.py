"""One clock: the times of a site by the clock that most of them state, so that days are those of the site."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace

from audit.model.table import RawColumn, Table
from audit.reading.moments import as_written, common_offset, moment, states_offset

FIELDS = ("read_at", "configured_at")


def on_one_clock(tables: Sequence[Table]) -> list[Table]:
    """Return the tables with their times by the clock that most of them state; places quote them as written.

    A time without an offset is by that clock anyway. Texts that are not times stay as they are.
    """
    offset = common_offset(text for text in _read_at(tables) if _states_offset(text))
    return [_by_clock(table, offset) for table in tables] if offset else list(tables)


def several_clocks(tables: Sequence[Table]) -> bool:
    """Return whether some times of reading state their offset from UTC and others do not."""
    return len({_states_offset(text) for text in set(_read_at(tables))}) > 1


def _read_at(tables: Sequence[Table]) -> list[str]:
    return [text for table in tables for text in table.texts("read_at") if text.strip()]


def _states_offset(text: str) -> bool:
    try:
        return moment(text) is not None and states_offset(text)
    except ValueError:
        return False


def _by_clock(table: Table, offset: datetime.timedelta) -> Table:
    columns = {name: _column(table.columns[name], offset) for name in FIELDS if name in table.columns}
    return replace(table, columns={**table.columns, **columns})


def _column(column: RawColumn, offset: datetime.timedelta) -> RawColumn:
    here = {text: _here(text, offset) for text in set(column.texts) if _states_offset(text)}
    texts = [here.get(text, text) for text in column.texts]
    return column.read_as(texts) if here else column


def _here(text: str, offset: datetime.timedelta) -> str:
    """Return a time by a clock with this offset; as it is written if that is outside the calendar."""
    try:
        here = as_written(text).astimezone(datetime.timezone(offset))
    except OverflowError:
        return text
    return here.replace(tzinfo=None).isoformat().removesuffix(":00")
