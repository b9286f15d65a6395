"""The devices that a plan itself lists, as a table like those in files, with the place of each text."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from audit.model.base import Position
from audit.model.table import Place, RawColumn, Table
from audit.model.value import Code
from audit.reading.loaded_plan import INLINE
from audit.reading.marks import Document
from audit.reading.marks import Path as Steps


class Entry(NamedTuple):
    """A device in a plan: its fields, the texts of its settings with their places, and where it stands."""

    fields: Mapping[str, str]
    settings: Mapping[str, tuple[str, Place]]
    steps: Steps


def inline_table(
    document: Document, entries: Sequence[Entry], codes: dict[str, Code], secrets: Collection[str]
) -> Table:
    """Return the entries of a plan as a table; `codes` are those behind the placeholders in it."""
    columns: dict[str, list[str]] = {}
    cells: dict[tuple[int, str], tuple[int, str]] = {}
    for e, entry in enumerate(entries):
        for name, text in entry.fields.items():
            within = ("position", name) if name in Position.model_fields else (name,)
            mark = document.mark((*entry.steps, *within))
            columns.setdefault(name, [""] * len(entries))[e] = text
            cells[e, name] = (mark.line, str(mark.column))
        for name, (text, place) in entry.settings.items():
            columns.setdefault(name, [""] * len(entries))[e] = text
            cells[e, name] = (place.row, place.column)
    raw = {
        name: RawColumn(texts, "", name, INLINE, codes=codes if name in secrets else None)
        for name, texts in columns.items()
    }
    return Table(document.file, "", [document.mark(entry.steps).line for entry in entries], raw, cells)
