"""Tables as read: raw text in columns, each text with its place. Nothing has been interpreted yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce
from itertools import repeat
from typing import Any, NamedTuple

from audit.errors import Problem
from audit.model.value import Code

HIDDEN = "(not shown)"
"""What reports show in place of an access code in a file."""


MERGED = "(merged with "
"""Start of the text that represents a cell covered by a merged one."""


NOT_TWO = "(not two numbers) "
"""Start of the text that represents a cell which should hold two numbers, followed by what it holds."""
NOT_LABELLED = "(not behind labels) "
"""Start of the text that represents a cell which should hold settings behind labels, followed by its text."""
NO_UNIT = "(no unit) "
"""Start of the text that represents a number without the unit that its row should give, followed by it."""


class Place(NamedTuple):
    """Where a text is written."""

    file: str
    sheet: str
    row: int
    """Row or line, counted from 1."""
    column: str
    """Column letters as in a spreadsheet; the key in a record; the position of a character in YAML."""
    heading: str
    raw: str
    record: int = 0
    """The number of the record, counted from 1, in a JSON or YAML file of records."""

    @property
    def entry(self) -> int:
        """Return what distinguishes the rows of a file: all its records may be on one line."""
        return self.record or self.row

    def problem(self, message: str, mend: str) -> Problem:
        """Return a problem with what is written here."""
        return Problem(message, mend, self.file, self.sheet, self.row, self.column)


NOWHERE = Place("", "", 0, "", "", "")
"""The place of what is not in any file."""


def in_file(name: str) -> Place:
    """Return a whole file as the place of what it says, or leaves out, in many rows."""
    return NOWHERE._replace(file=name)


_MARKS = str.maketrans("−–\u2011\xa0\u202f\u2009", "---   ")


def tidied(text: str) -> str:
    """Return a text with plain minus signs and single plain blanks, which spreadsheets do not keep."""
    return " ".join(text.translate(_MARKS).split())


@dataclass(frozen=True, slots=True)
class Style:
    """How the numbers of a column are written."""

    decimal: str = "."
    """The decimal mark, or several of which any may be used."""
    grouping: str = ""
    unit: str = ""
    blanks: frozenset[str] = frozenset({""})
    """What means 'not read', in lower case, always with the empty text."""
    translate: tuple[tuple[str, str], ...] = ()

    def is_blank(self, text: str) -> bool:
        """Return whether a text means 'not read'."""
        return tidied(text).casefold() in self.blanks


class Blanks(Sequence[str]):
    """One blank text for each row, without a list of them."""

    def __init__(self, length: int) -> None:
        self._length = length

    def __len__(self) -> int:
        """Return the number of rows."""
        return self._length

    def __iter__(self) -> Iterator[str]:
        """Yield one blank for each row."""
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
    """One column of a table: the raw text of every row, blank if the cell is empty."""

    texts: Sequence[str]
    column: str
    heading: str
    style: Style = field(default_factory=Style)
    fixed: Place | None = None
    """Where the text is written, if it is the same for all rows: in a mapping, or at the top of a file."""
    codes: Mapping[str, Code] | None = None
    """For a column of access codes: what its placeholders stand for. The codes are not kept."""
    raw: Sequence[str] = ()
    """The texts as written, if `texts` are not: dates that were converted to ISO form."""
    supplied: int = 0
    """In how many rows the text is a constant of the mapping, since the file leaves it blank there."""

    def is_blank(self, entry: int) -> bool:
        """Return whether the text of an entry means 'not read'."""
        return self.style.is_blank(self.texts[entry])

    def read_as(self, texts: Sequence[str]) -> RawColumn:
        """Return the column with other texts than those written, which places go on quoting."""
        return replace(self, texts=texts, raw=self.raw or self.texts)


class LeftOut(NamedTuple):
    """Rows and columns that a mapping left out."""

    texts: tuple[str, ...] = ()
    """What each of them says in the column by which it was left out."""
    codes: bool = False
    """Whether they may have access codes."""
    columns: tuple[str, ...] = ()
    """Headings of columns that it ignores although they are known and hold something."""
    units: tuple[str, ...] = ()
    """Headings of columns that it ignores although they hold the units of their rows."""


NOTHING_LEFT_OUT = LeftOut()


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of one file or sheet, kept as columns by field name."""

    file: str
    sheet: str
    rows: Sequence[int]
    columns: Mapping[str, RawColumn]
    cells: Mapping[tuple[int, str], tuple[int, str]] = field(default_factory=dict)
    """Entry and field → row and column, where these are not the entry's own and the field's own."""
    line_of: Callable[[int, str], int] | None = None
    """For a file of records: row (the record's number) and key (blank for the record itself) → its line."""
    mapping: str = ""
    """File and line of the mapping that it was read with, if there was one."""
    left_out: LeftOut = NOTHING_LEFT_OUT
    """What its mapping left out."""

    def texts(self, name: str) -> Sequence[str]:
        """Return the raw texts of a field; blanks if the table does not have it."""
        column = self.columns.get(name)
        return column.texts if column else Blanks(len(self.rows))

    def place(self, entry: int, name: str) -> Place:
        """Return where the text of a field of an entry is written."""
        column = self.columns.get(name)
        if column is None:
            return self._at(self.rows[entry])
        if column.fixed:
            return column.fixed
        if self.cells and (entry, name) not in self.cells and not column.texts[entry]:
            return self._at(self.rows[entry])  # no such cell
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
    """Return the index, counted from 0, of the column with these spreadsheet letters: B is 1."""
    return reduce(lambda number, letter: number * 26 + ord(letter) - ord("A") + 1, letters, 0) - 1
