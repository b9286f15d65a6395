"""Asides: rows between or below the devices of a sheet that are not devices: totals, signatures, titles."""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.model.readback import FIELDS
from audit.model.table import Table
from audit.pairing.readback_rows import Row
from audit.reading.own_sheets import MARK

_SERIAL = re.compile(r"[^\s.]*\d{4}[^\s.]*")
"""What a serial number looks like, unlike a total or a date: four digits in a row. Judgement."""


def asides_among(rows: Sequence[Row]) -> list[Row]:
    """Return those of the rows of no planned device that are not a device at all: they hold no reading.

    A row with a serial number, or with a name and a network, is a device: somebody found a unit and wrote it
    down. So is one with a reading in another file. A list of names without any reading has no asides.
    A row preprinted in a sheet of ours was found by nobody, even if a note has been written beside it.
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
        if (id(row.table) in read or _is_preprinted(row)) and (row.tag, row.serial) not in elsewhere
    ]  # fmt: skip


def _is_placed(row: Row) -> bool:
    """Tell whether a row gives a serial number, or a name and, in a cell of its own, a network."""
    if _is_preprinted(row):
        return False
    column = row.table.columns.get("network")
    network = row.network if column and not column.fixed else ""  # one from a mapping holds for all rows
    return bool(_SERIAL.fullmatch(row.serial) or (network and (row.tag or row.serial)))


def _is_preprinted(row: Row) -> bool:
    """Tell whether a row of a sheet of ours is as it was made: with its mark, and nothing read."""
    column = row.table.columns.get(MARK)
    marked = column is not None and not column.fixed and column.texts[row.entry].strip()
    return bool(marked) and not row.serial and not row.table.texts("type")[row.entry].strip()


def holds_reading(table: Table, entry: int) -> bool:
    """Tell whether a row has a text in the column of any setting."""
    return any(
        not column.is_blank(entry)
        for name, column in table.columns.items() if name not in FIELDS
    )  # fmt: skip
