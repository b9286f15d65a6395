"""A grid: headings and columns of raw text as in the file, before anything is interpreted."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from audit.errors import Problem
from audit.model.table import MERGED, Place, column_letter


@dataclass(frozen=True, slots=True)
class Grid:
    """One table as written: `columns[i]` is headed `headings[i]`, and entry `k` is in `rows[k]`."""

    file: str
    sheet: str
    headings: Sequence[str]
    letters: Sequence[str]
    heading_row: int
    columns: Sequence[list[str]]
    rows: Sequence[int]
    fixed: Mapping[str, Place] = field(default_factory=dict)
    """Heading → where its text is written, if the same text applies to all entries."""
    first: Mapping[str, int] = field(default_factory=dict)
    """In a file of records: letter → number of the first record with this key."""
    instead: Mapping[tuple[int, str], str] = field(default_factory=dict)
    """Row and letter of a cell without text of its own → what is there: a formula, a merged cell."""
    outside: frozenset[str] = frozenset()
    """In a file of records: the keys and texts that are in none of them."""
    as_written: Mapping[str, Mapping[int, str]] = field(default_factory=dict)
    """Letter → row → the text of the cell, where the column has only a part of it, or more than it."""
    hidden: bool = False
    """Whether it is a hidden sheet of a workbook."""
    line_of: Callable[[int, str], int] | None = None
    """In a file of records, whose rows are record numbers: row and letter (blank: the record) → its line."""

    def filled(self, i: int) -> list[str]:
        """Return the texts of a column; a cell that is merged with one above it has that cell's text.

        For names and times: a merged cell applies to all its rows. A reading is never filled in like this.
        """
        column, letter = self.columns[i], self.letters[i]
        merged = {row: text for (row, at), text in self.instead.items() if at == letter}
        if not merged:
            return column
        texts = dict(zip(self.rows, column, strict=True))
        above = {f"{MERGED}{_cell(letter, row)})": text for row, text in texts.items()}
        return [text or above.get(merged.get(row, ""), "") for row, text in texts.items()]

    def row(self, entry: int, i: int) -> int:
        """Return the row or line of a column's text for an entry."""
        row = self.rows[entry]
        return self.line_of(row, self.letters[i]) if self.line_of else row

    def row_of_heading(self, letter: str) -> int:
        """Return the row or line of a column's heading."""
        if self.line_of and letter in self.first:
            return self.line_of(self.first[letter], letter)
        return self.heading_row

    def problem(self, message: str, mend: str, row: int, letter: str = "") -> Problem:
        """Return a problem with what is written in a row of the file, or in one of its cells."""
        return Problem(message, mend, self.file, self.sheet, row, letter)

    def turned(self) -> Grid:
        """Return the grid turned round: its first column that is not blank has the headings.

        Rows without any text beside that one, such as titles, are left out. Until it is read, the row of a
        heading takes the place of its letters, and the number of a column that of a row.
        """
        whole = [[heading, *column] for heading, column in zip(self.headings, self.columns, strict=True)]
        at = next((i for i, texts in enumerate(whole) if any(map(str.strip, texts))), 0)
        beside = [i for i in range(len(whole)) if i != at]
        rows = [self.heading_row, *self.rows]
        kept = [k for k in range(len(rows)) if any(whole[i][k].strip() for i in beside)]
        numbers = {letter: i + 1 for i, letter in enumerate(self.letters)}
        return replace(
            self,
            headings=[whole[at][k] for k in kept],
            letters=[str(rows[k]) for k in kept],
            heading_row=at + 1,
            columns=[[whole[i][k] for i in beside] for k in kept],
            rows=[i + 1 for i in beside],
            instead={
                (numbers[letter], str(row)): text
                for (row, letter), text in self.instead.items() if letter in numbers
            },
        )  # fmt: skip

    def shown(self, i: int) -> list[str]:
        """Return the texts of a column; a cell without text of its own is described, not left blank."""
        column, letter = self.columns[i], self.letters[i]
        if not any(at == letter for _, at in self.instead):
            return column
        return [
            text or self.instead.get((row, letter), "") for row, text in zip(self.rows, column, strict=True)
        ]


def _cell(letter: str, row: int) -> str:
    """Return what a cell is called in the file: in a grid that is turned round, its letter is a row."""
    return f"{column_letter(row - 1)}{letter}" if letter.isdigit() else f"{letter}{row}"
