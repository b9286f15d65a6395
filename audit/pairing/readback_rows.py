"""Rows of the readback, and the short way to their devices where all rows name them as planned."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Sequence
from itertools import accumulate, repeat
from typing import NamedTuple, TypeVar

from audit.model.rows import InOneTable, Rows
from audit.model.site import Block, Target
from audit.model.table import Table
from audit.reading.identifiers import all_bare, damaged

T = TypeVar("T")
Found = dict[int, tuple[Target, str]]
"""Number of a row → the device that it is about, and how it was identified."""


class Row(NamedTuple):
    """A row of the readback, with what says which device it is about."""

    table: Table
    entry: int
    tag: str
    serial: str
    network: str

    @property
    def read_at(self) -> str:
        """When it was read, as written; blank if the row does not say."""
        return self.table.texts("read_at")[self.entry]


def rows_of(table: Table) -> list[Row]:
    """Return the rows of a table."""
    columns = (all_bare(table.texts(name)) for name in ("tag", "serial", "network"))
    return list(map(Row, repeat(table), range(len(table.rows)), *columns))


def rows_as_planned(blocks: Sequence[Block], tables: Sequence[Table]) -> list[Sequence[Rows]] | None:
    """Return the rows of each device of each block, if every row gives a planned tag and its serial number.

    Mostly they do; then nothing else need be looked at, and no Row made. None where one row does not.
    """
    tags = [tag for block in blocks for tag in block.tags]
    serials = [serial for block in blocks for serial in block.serials]
    index = {serial: n for n, serial in enumerate(serials) if serial}
    twice = len(set(tags)) < len(tags)  # such tags need their networks
    if twice or len(index) + serials.count("") < len(serials) or any(map(damaged, index)):
        return None
    named: list[tuple[Table, list[int]]] = []
    for table in tables:
        devices = [index.get(serial, -1) for serial in all_bare(table.texts("serial"))]
        if -1 in devices or [tags[n] for n in devices] != list(all_bare(table.texts("tag"))):
            return None
        named.append((table, devices))
    ends = accumulate(map(len, blocks))
    return [_rows_of_block(end - len(block), end, named) for block, end in zip(blocks, ends, strict=True)]


def _rows_of_block(first: int, end: int, named: Sequence[tuple[Table, list[int]]]) -> Sequence[Rows]:
    """Return the rows of the devices `first` to `end`, from tables with the device that each row names."""
    holding = [(table, devices) for table, devices in named
               if devices and min(devices) < end and max(devices) >= first]  # fmt: skip
    if len(holding) == 1:
        table, devices = holding[0]
        entries = array("q", [-1]) * (end - first)
        if min(devices) >= first and max(devices) < end and len(set(devices)) == len(devices):
            for entry, n in enumerate(devices):
                entries[n - first] = entry
            return InOneTable(table, entries)
    rows: list[Rows] = [[] for _ in range(first, end)]
    for table, devices in holding:
        for entry, n in enumerate(devices):
            if first <= n < end:
                rows[n - first].append((table, entry))
    return rows


def unique_index(keys: Sequence[tuple[str, T]]) -> dict[str, T]:
    """Return key → what it names, for the keys that name a single thing; a blank key names nothing."""
    index = dict(keys)
    if len(index) == len(keys) and "" not in index:  # the usual case
        return index
    count = Counter(key for key, _ in keys)
    return {key: target for key, target in keys if key and count[key] == 1}
