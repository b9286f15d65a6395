"""Asides: rows between or below the devices of a sheet that are none: totals, signatures, titles."""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.model.readback import FIELDS
from audit.model.table import Table
from audit.pairing.readback_rows import Row
from audit.reading.own_sheets import MARK

_SERIAL = re.compile(r"[^\s.]*\d{4}[^\s.]*")
"""What a serial number looks like that is no total and no date: four digits running. Judgement."""


def asides_among(rows: Sequence[Row]) -> list[Row]:
    """Return those of some rows of no planned device that are no device at all: nothing was read in them.

    A serial number alone makes one, or a name with a network: somebody has found a unit and written it down;
    and so does a reading in another file. Nor has a list of names asides, in which nothing was read at all.
    What a sheet of ours brought along was found by nobody, though a note stands beside it.
    """
    suspect = [row for row in rows if not _is_placed(row) and not holds_reading(*row[:2])]
    if not suspect:
        return []
    read = {id(table) for table in {id(row.table): row.table for row in suspect}.values()
            if any(holds_reading(table, entry) for entry in range(len(table.rows)))}  # fmt: skip
    named = (row for row in rows if row.tag or row.serial)  # rows without a name are not one device
    elsewhere = {(row.tag, row.serial) for row in named if holds_reading(*row[:2])}
    return [
        row for row in suspect
        if (id(row.table) in read or _was_brought(row)) and (row.tag, row.serial) not in elsewhere
    ]  # fmt: skip


def _is_placed(row: Row) -> bool:
    """Tell whether a row gives a serial number, or a name and in a cell of its own a network."""
    if _was_brought(row):
        return False
    column = row.table.columns.get("network")
    network = row.network if column and not column.fixed else ""  # one of a mapping holds for all rows
    return bool(_SERIAL.fullmatch(row.serial) or (network and (row.tag or row.serial)))


def _was_brought(row: Row) -> bool:
    """Tell whether a row stands in a sheet of ours as it was made: with its mark, and nothing read."""
    column = row.table.columns.get(MARK)
    brought = column is not None and not column.fixed and column.texts[row.entry].strip()
    return bool(brought) and not row.serial and not row.table.texts("type")[row.entry].strip()


def holds_reading(table: Table, entry: int) -> bool:
    """Tell whether a row has something in the column of a setting."""
    return any(
        not column.style.is_blank(column.texts[entry])
        for name, column in table.columns.items() if name not in FIELDS
    )  # fmt: skip
