"""Which devices the rows of a readback are about: planned ones, with the evidence for it, or strangers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from audit.model.table import Place, Table
from audit.model.value import Value


@dataclass(frozen=True, slots=True)
class Stranger:
    """A device that was found but is not in the plan."""

    tag: str
    serial: str
    network: str
    rows: tuple[tuple[Table, int], ...]
    found: Mapping[str, Value]
    """Its settings, read with the first planned device type that has them."""

    def place(self, name: str = "tag") -> Place:
        """Return the place of one of its fields, in the newest row that has it, or else in the newest row."""
        having = [(table, entry) for table, entry in self.rows if table.texts(name)[entry].strip()]
        table, entry = (having or self.rows)[-1]
        return table.place(entry, name)


@dataclass(frozen=True, slots=True)
class Match:
    """How rows were matched to a planned device: the evidence for its identity."""

    block: int
    index: int
    how: str
    """`serial`, `tag`, `spelling` (either, spelt differently), `address`, `date` (the date that a
    spreadsheet makes of the tag), `settings`, or `corrected` (by serial number or tag, whichever is as
    planned; a later row has the other one as planned too)."""
    found_tag: str
    found_serial: str
    place: Place
