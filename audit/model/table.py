"""Tables as read: raw text in columns, each text with its place. Nothing is interpreted yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import repeat
from typing import Any, NamedTuple

from audit.errors import Problem
from audit.model.value import Code

HIDDEN = "(not shown)"
"""Stands in reports where an access code stands in a file."""


MERGED = "(merged with "
"""Begins what stands for a cell that a merged one covers."""


class Place(NamedTuple):
    """Where a text stands."""

    file: str
    sheet: str
    row: int
    """Row or line, counted from 1."""
    column: str
    """Column as a spreadsheet letters it; the key in a record; the number of a character in YAML."""
    heading: str
    raw: str
    record: int = 0
    """The number of the record, counted from 1, in a JSON or YAML file of records."""

    @property
    def entry(self) -> int:
        """Return what tells the rows of a file apart: its records may all stand in one line."""
        return self.record or self.row

    def problem(self, message: str, mend: str) -> Problem:
        """Return a problem with what stands here."""
        return Problem(message, mend, self.file, self.sheet, self.row, self.column)


NOWHERE = Place("", "", 0, "", "", "")
"""The place of what stands in no file."""


_MARKS = str.maketrans("−–\u2011\xa0\u202f\u2009", "---   ")


def tidied(text: str) -> str:
    """Return a text with plain minus signs and single plain blanks, as spreadsheets do not keep them."""
    return " ".join(text.translate(_MARKS).split())


@dataclass(frozen=True, slots=True)
class Style:
    """How the numbers of a column are written."""

    decimal: str = "."
    """The decimal mark, or the marks of which any may be used."""
    grouping: str = ""
    unit: str = ""
    blanks: frozenset[str] = frozenset({""})
    translate: tuple[tuple[str, str], ...] = ()

    def is_blank(self, text: str) -> bool:
        """Tell whether a text means 'not read'."""
        return tidied(text).casefold() in self.blanks or not text.strip()


class Blanks(Sequence[str]):
    """As many blank texts as there are rows, without a list of them."""

    def __init__(self, length: int) -> None:
        self._length = length

    def __len__(self) -> int:
        """Return the number of rows."""
        return self._length

    def __iter__(self) -> Iterator[str]:
        """Yield as many blanks."""
        return repeat("", self._length)

    def __getitem__(self, index: Any) -> Any:
        """Return a blank text, or blanks for a slice."""
        if isinstance(index, slice):
            return Blanks(len(range(*index.indices(self._length))))
        if not -self._length <= index < self._length:
            raise IndexError(index)
        return ""


@dataclass(frozen=True, slots=True)
class RawColumn:
    """One column of a table: the raw text of every row, blank where the cell is empty."""

    texts: Sequence[str]
    column: str
    heading: str
    style: Style = field(default_factory=Style)
    fixed: Place | None = None
    """Where the text of all rows stands, if it stands in one place: in a mapping, or at the top of a file."""
    codes: Mapping[str, Code] | None = None
    """For a column of access codes: what its placeholders stand for. The codes are not kept."""
    raw: Sequence[str] = ()
    """The texts as they stand, where `texts` are not: dates that were brought into ISO form."""


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of one file or sheet, kept as columns by field name."""

    file: str
    sheet: str
    rows: Sequence[int]
    columns: Mapping[str, RawColumn]
    cells: Mapping[tuple[int, str], tuple[int, str]] = field(default_factory=dict)
    """Entry and field → row and column, where they are not those of the row and the column."""
    line_of: Callable[[int, str], int] | None = None
    """Of a file of records: row, which is the number of a record, and key (blank: the record) → its line."""
    mapping: str = ""
    """File and line of the mapping that it was read through, where it was one."""

    def texts(self, name: str) -> Sequence[str]:
        """Return the raw texts of a field, blank for every row if the table lacks it."""
        column = self.columns.get(name)
        return column.texts if column else Blanks(len(self.rows))

    def place(self, entry: int, name: str) -> Place:
        """Return where the text of a field of an entry stands."""
        column = self.columns.get(name)
        if column is None:
            return self._at(self.rows[entry])
        if column.fixed:
            return column.fixed
        if self.cells and (entry, name) not in self.cells and not column.texts[entry]:
            return self._at(self.rows[entry])  # a cell that there is not
        row, letter = self.cells.get((entry, name), (self.rows[entry], column.column))
        raw = HIDDEN if column.codes is not None else (column.raw or column.texts)[entry]
        return self._at(row, letter, column.heading, raw)

    def _at(self, row: int, column: str = "", heading: str = "", raw: str = "") -> Place:
        if self.line_of is None:
            return Place(self.file, self.sheet, row, column, heading, raw)
        return Place(self.file, self.sheet, self.line_of(row, column), column, heading, raw, record=row)


def column_letter(index: int) -> str:
    """Return the letters that spreadsheets give the column at `index`, counted from 0."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_index(letters: str) -> int:
    """Return the index, counted from 0, of the column that spreadsheets call by letters: B is 1."""
    return reduce(lambda number, letter: number * 26 + ord(letter) - ord("A") + 1, letters, 0) - 1
