"""The readback's rows about the devices of a block: where they are, and which devices share their tables."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from audit.model.table import Table

Rows = list[tuple[Table, int]]
"""Where the readings of a device are: tables, each with the entry in it."""


class InOneTable(Sequence[Rows]):
    """Rows of devices that have at most one each, all in one table, without a list for each device."""

    def __init__(self, table: Table, entries: array[int]) -> None:
        self.table = table
        self.entries = entries
        """The entry of each device; below 0 if it has no row."""

    def __len__(self) -> int:
        """Return the number of devices."""
        return len(self.entries)

    def __iter__(self) -> Iterator[Rows]:
        """Yield the rows of each device."""
        table = self.table
        return ([(table, entry)] if entry >= 0 else [] for entry in self.entries)

    def blank(self) -> list[int]:
        """Return the devices that have no row."""
        return [i for i, entry in enumerate(self.entries) if entry < 0]

    def __getitem__(self, i: Any) -> Any:
        """Return the rows of a device, or those of a slice of the devices."""
        if isinstance(i, slice):
            return InOneTable(self.table, self.entries[i])
        entry = self.entries[i]
        return [(self.table, entry)] if entry >= 0 else []


class Alike(NamedTuple):
    """Devices of a block that have their readings in the same tables, so that whole columns can be used."""

    devices: Sequence[int]
    tables: Sequence[Table]
    """The oldest reading first; a table is repeated if it contains several readings."""
    entries: Sequence[Sequence[int]]
    """For each of the tables, where the devices' readings are in it."""

    def texts(self, field: str) -> Iterator[Sequence[str]]:
        """Yield the texts of a field for each of the tables, one for each device."""
        for table, entries in zip(self.tables, self.entries, strict=True):
            texts = table.texts(field)
            if isinstance(entries, range):
                yield texts[entries.start : entries.stop]
            else:
                yield list(map(texts.__getitem__, entries))
