"""The rows of a readback that count, each with its device."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from audit.model.finding import Hit
from audit.model.site import Block, Site
from audit.model.table import Place, Table
from audit.reading.identifiers import bare


class Row(NamedTuple):
    """One row of the readback and its device."""

    b: int
    block: Block
    i: int
    table: Table
    entry: int

    def text(self, field: str) -> str:
        """Return the text of a field of the row, without spaces around it."""
        return bare(self.table.texts(field)[self.entry])

    def hit(self, message: str, found: str, places: tuple[Place, ...]) -> Hit:
        """Return a hit on the row's device."""
        network, tag = self.block.networks[self.i], self.block.tags[self.i]
        return Hit(network, tag, (), message, found=found, places=places, order=(self.b, self.i))


def counting_rows(site: Site, *fields: str) -> Iterator[Row]:
    """Yield the rows that count: those with some reading that no later row has replaced.

    Nothing is yielded if one of the fields is in no table.
    """
    tables = site.tables()
    if any(all(field not in table.columns for table in tables) for field in fields):
        return
    for b, block in enumerate(site.blocks):
        names = {setting.name for setting in block.type.settings}
        for i, rows in enumerate(block.rows):
            if len(rows) < 2:  # nothing can have been replaced
                yield from (Row(b, block, i, table, entry) for table, entry in rows)
                continue
            newer: set[str] = set()
            counting = []
            for table, entry in reversed(rows):
                given = {name for name in names if _given(table, name, entry)}
                if not newer or not given <= newer:
                    counting.append(Row(b, block, i, table, entry))
                newer |= given
            yield from reversed(counting)


def _given(table: Table, name: str, entry: int) -> bool:
    """Tell whether a row gives a value of a setting."""
    column = table.columns.get(name)
    return column is not None and not column.is_blank(entry)


def were(count: int) -> str:
    """Return `1 device was` or `N devices were`, to begin a sentence."""
    return "1 device was" if count == 1 else f"{count} devices were"
