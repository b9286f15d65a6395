"""Ignored units: columns with the unit of each row that a mapping leaves out, as if all were in one unit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from audit.errors import Problem
from audit.model.mapping import Mapping
from audit.model.table import Table
from audit.reading import units
from audit.reading.grid import Grid
from audit.reading.headings import IGNORED, heading_field
from audit.reading.identifiers import bare
from audit.reading.mapped_names import is_ignored, key_for, used
from audit.reading.quoting import quoted
from audit.reading.shared_cells import are_units
from audit.reading.vocabulary import Vocabulary


def ignored_units(grid: Grid, mapping: Mapping, words: Vocabulary) -> tuple[str, ...]:
    """Return the headings of columns of units that a mapping ignores."""
    return tuple(bare(grid.headings[i]) for i in _of_units(grid, mapping, words))


def unread_units(grid: Grid, table: Table, mapping: Mapping, words: Vocabulary) -> Iterator[Problem]:
    """Yield a problem for each column of units that only `*` ignores, with units that no number is read in.

    `table` is what was read of the grid. A column that is ignored by its heading is somebody's decision.
    """
    settings = [(column.style.unit, words.settings[name].unit) for name, column in table.columns.items()
                if name in words.settings and words.settings[name].numeric]  # fmt: skip
    read = [stated or own for stated, own in settings if stated or own]
    for i in _of_units(grid, mapping, words) if read else ():
        odd = [text for text in map(bare, grid.columns[i]) if units.known(text) and not _is_one(text, read)]
        if odd and not is_ignored(grid.headings[i], mapping):
            message = (
                f"{quoted(bare(grid.headings[i]))} has units, such as {odd[0]}, in which no number is read"
            )
            mend = "name it under `unit_columns` in the mapping, or, if it is of no concern, under `ignore`"
            letter = grid.letters[i]
            yield grid.problem(message, mend, grid.row_of_heading(letter), letter)


def _is_one(unit: str, read: Iterable[str]) -> bool:
    """Return whether numbers are the same in one of some units, as in kPa and kPa g."""
    return any(units.convert(Decimal(1), unit, one) == 1 for one in read)


def _of_units(grid: Grid, mapping: Mapping, words: Vocabulary) -> list[int]:
    return [
        i for i, (heading, texts) in enumerate(zip(grid.headings, grid.columns, strict=True))
        if key_for(heading, used(mapping), mapping) is None
        and heading_field(heading, mapping, words) == IGNORED and are_units(texts)
    ]  # fmt: skip
