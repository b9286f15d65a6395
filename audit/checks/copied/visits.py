"""Visits: what one person read at one node on one day; and signs found in many visits."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from audit.model.device import AT_THE_DEVICE, Setting
from audit.model.rows import Rows
from audit.model.site import Block, Site
from audit.model.table import Place, Table
from audit.people import one_spelling
from audit.reading.identifiers import bare
from audit.reading.moments import day_of

BY_MACHINE = re.compile(
    r"(?i)\b(exports?|exported|gateway|host|list|log|files?|download\w*|automatic\w*|machine|photos?|pictures?|scan\w*)\b"
)
"""Ways of reading, as readbacks name them, in which a machine or a camera wrote and nobody copied."""


class Sign(NamedTuple):
    """One sign that a readback was copied, in words, with the places that show it."""

    strong: bool
    words: str
    places: tuple[Place, ...]


class Visit(NamedTuple):
    """The rows that one reader wrote about one node on one day."""

    b: int
    block: Block
    i: int
    rows: Sequence[tuple[Table, int]]
    """The newest last."""
    of_node: Rows
    """All rows about the node, whoever wrote them and whenever."""

    @property
    def tag(self) -> str:
        """Tag of the node."""
        return self.block.tags[self.i]

    @property
    def order(self) -> tuple[int, int]:
        """Block and index of the node."""
        return self.b, self.i

    @property
    def position(self) -> tuple[float, float] | None:
        """Position of the node in metres on the site's grid, or None if not known."""
        at = self.block.positions[self.i]
        return (at.x_m, at.y_m) if at and at.x_m is not None and at.y_m is not None else None

    def field(self, name: str) -> str:
        """Return the newest text of a field, blank if there is none."""
        for table, entry in reversed(self.rows):
            if name in table.columns and (text := _text(table, entry, name)):
                return text
        return ""

    @property
    def day(self) -> str:
        """The day of the visit, in ISO form; blank if none is written."""
        return _day(self.field("read_at"))

    def reading(self, name: str) -> Place | None:
        """Return the place of a setting's newest text, or None if it was not read."""
        row = self._row_with(name)
        return row[0].place(row[1], name) if row else None

    def _row_with(self, name: str) -> tuple[Table, int] | None:
        for table, entry in reversed(self.rows):
            column = table.columns.get(name)
            if column and column.codes is None and not column.is_blank(entry):
                return table, entry
        return None

    def read_anything(self) -> bool:
        """Tell whether anything was read at the node itself."""
        return next(self.shown_settings(), None) is not None

    def shown_settings(self) -> Iterator[Setting]:
        """Yield the settings that were read at the node itself."""
        for setting in self.block.type.settings:
            if setting.read_at in AT_THE_DEVICE and self._row_with(setting.name):
                yield setting

    def place(self, name: str) -> Place:
        """Return the place of a field of the newest row."""
        table, entry = self.rows[-1]
        return table.place(entry, name)


def visits(site: Site) -> Iterator[Visit]:
    """Yield, for each node that has a row written by hand, the newest visit to it."""
    for b, block in enumerate(site.blocks):
        how_is_said = any("read_how" in table.columns for table in block.tables)
        for i, rows in enumerate(block.rows if not block.gateway else ()):
            by_hand = rows
            if how_is_said:
                by_hand = [row for row in rows if not BY_MACHINE.search(_text(*row, "read_how"))]
            if by_hand:
                yield Visit(b, block, i, by_hand if len(by_hand) == 1 else _last_visit(by_hand), rows)


def _last_visit(rows: Sequence[tuple[Table, int]]) -> Sequence[tuple[Table, int]]:
    """Return the rows by the reader of the newest row, on the same day."""
    newest = _who_and_when(rows[-1])
    return [row for row in rows if _who_and_when(row) == newest]


def _who_and_when(row: tuple[Table, int]) -> tuple[str, str]:
    """Return reader and day of a row."""
    return one_spelling(_text(*row, "read_by")), day_of_row(*row)


def day_of_row(table: Table, entry: int) -> str:
    """Return the day of a row in ISO form, as the local date of its writer; blank if there is none."""
    return _day(_text(table, entry, "read_at"))


def _day(text: str) -> str:
    day = day_of(text)
    return day.isoformat() if day else ""


def _text(table: Table, entry: int, name: str) -> str:
    return bare(table.texts(name)[entry])
