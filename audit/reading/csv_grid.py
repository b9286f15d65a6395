"""CSV files as grids, read in slices so that equal texts are kept only once.

A slice without quotation marks whose rows are all as wide as the heading row needs no parser: it is split.
"""

from __future__ import annotations

import csv
import io
from array import array
from collections.abc import Iterator, Sequence
from contextlib import suppress
from itertools import islice

from audit.errors import InputProblems, Problem, stop
from audit.model.mapping import Mapping
from audit.model.table import column_letter
from audit.phrases import counted
from audit.reading.csv_titles import LINE_END, delimiter_of, filled, title_for_headings
from audit.reading.files import FileBytes, composed, decode, is_text_encoding
from audit.reading.grid import Grid
from audit.reading.heading_rows import joined_headings
from audit.reading.mappings import problem_in
from audit.reading.quoting import quoted

OTHER_KINDS = {
    b"%pdf-": "a PDF",
    b"{\\rtf": "a formatted document (RTF)",
    b"<!doctype html": "a web page",
    b"<html": "a web page",
    b"<table": "a web page",
    b"<?xml": "XML",
}
"""How files begin that are not tables of text, in lower case → what they are. From memory, not verified."""
ROWS_A_SLICE = 128
CHARACTERS_A_SLICE = 16_000
"""Few enough for a slice to stay in the processor's cache: measured as twice as fast as 4096 rows."""
ROWS_TO_TELL = 10_000
"""Rows after which it is clear whether a column has hardly any equal texts; sharing them gains nothing."""
MOST_COLUMNS = 2000
LONGEST_CELL = 100_000


def read_csv(file: FileBytes, mapping: Mapping) -> Grid:
    """Return the grid of a CSV file. Raises InputProblems."""
    csv.field_size_limit(LONGEST_CELL)
    if mapping.encoding and not is_text_encoding(mapping.encoding):
        mend = "use a name such as utf-8 or cp1252"
        message = f"unknown encoding {quoted(mapping.encoding)}"
        raise InputProblems([problem_in(mapping, ("encoding",), message, mend)])
    _refuse_other_kinds(file)
    text = composed(decode(file, mapping.encoding))
    start, end = _heading_lines(text, mapping)
    if start == end and mapping.skip_rows:
        message = f"has no more than the {counted(mapping.skip_rows, 'row')} that the mapping skips"
        raise stop(message, "correct `skip_rows` in the mapping", file=file.name)
    above = text.count("\n", 0, start)
    parsed = _needs_parser(text)
    delimiter = mapping.delimiter or delimiter_of(text[start:end])
    lines = io.StringIO(text[start:] if parsed else text[start:end], newline="")
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    try:
        headings = joined_headings([next(reader, []) for _ in range(mapping.heading_rows)])
        if len(headings) > MOST_COLUMNS:
            message = f"its heading row has {len(headings):,} cells"
            raise stop(message, "check that this is the right file", file=file.name, line=above + 1)
        ruled = delimiter == "|" and reader.line_num == 1 and _is_rule(text[end : _next_line(text, end)])
        if ruled:
            end = _next_line(text, end)
            next(reader, None)
        body = _Body(len(headings), delimiter, file, above + reader.line_num + (ruled and not parsed) + 1)
        if parsed:
            body.parse(reader)
        else:
            body.split(text, end)
    except csv.Error as error:
        raise _malformed(error, file, text[start:], above, delimiter) from None
    if _is_title(filled(headings), body):
        body.problems = [
            title_for_headings(headings, text[start:end], text[end:], mapping, file.name, above + 1)
        ]
    elif len(body.rows) > 1 and [*body.narrow] == [body.rows[-1]] and not text.endswith(("\n", "\r")):
        body.problems.append(_cut_off(body.rows[-1], file))
    if body.problems:
        raise InputProblems(body.problems)
    letters = [column_letter(i) for i in range(len(headings))]
    return Grid(file.name, "", headings, letters, above + mapping.heading_rows, body.columns, body.numbers())


def _refuse_other_kinds(file: FileBytes) -> None:
    """Raise InputProblems if a file is not a table of text, whatever its name ends in."""
    start = file.data[:200].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    kind = next((kind for beginning, kind in OTHER_KINDS.items() if start.startswith(beginning)), "")
    if kind:
        mend = "open it in a program that shows its table, and save or copy the table as CSV or XLSX"
        raise stop(f"is {kind}, whatever its name ends in", mend, file=file.name, line=1)


def _heading_lines(text: str, mapping: Mapping) -> tuple[int, int]:
    """Return where the rows of headings begin and end, below what is skipped and blank lines."""
    start = 0
    for _ in range(mapping.skip_rows):
        start = _next_line(text, start)
    end = _next_line(text, start)
    while end > start and not text[start:end].strip():
        start, end = end, _next_line(text, end)
    for _ in range(mapping.heading_rows - 1):
        end = _next_line(text, end)
    return start, end


def _next_line(text: str, start: int) -> int:
    """Return where the line after the one at `start` begins; the end of the text if there is none."""
    found = LINE_END.search(text, start)
    return found.end() if found else len(text)


def _is_rule(line: str) -> bool:
    """Return whether a line below the headings only draws a rule, as in Markdown."""
    return "---" in line and set(line) <= set("|+:- \t\r\n")


def _malformed(error: csv.Error, file: FileBytes, text: str, above: int, delimiter: str) -> InputProblems:
    """Return what is wrong with a CSV, at the line on which the faulty row begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    with suppress(csv.Error):
        for _ in reader:
            line = reader.line_num + 1
    message, mend = f"is not a well-formed CSV: {error}", "check the quotation marks in and above this line"
    if "unexpected end" in str(error):
        message = "a quotation mark opened here is never closed"
        mend = "close it, or double the quotation marks inside a cell"
    elif "field larger" in str(error):
        message = f"a cell is longer than {LONGEST_CELL:,} characters"
        mend = "check the quotation marks in and above this line, and that this is the right file"
    return stop(message, mend, file=file.name, line=above + line)


def _is_title(cells: int, body: _Body) -> bool:
    """Return whether most rows are so much wider than the first that it is unlikely to be the heading row.

    Decimal commas among commas do not even double the number of cells.
    """
    wider = len(body.problems)
    mostly = wider > 1 and 2 * wider > len(body.rows) and body.widest >= 2 * cells
    return mostly or (wider > 0 and cells == 1)


def _cut_off(line: int, file: FileBytes) -> Problem:
    """Return that the last row alone lacks cells and has no end: what was broken off is no reading."""
    message = "the file ends within this row, which has fewer cells than all others: it seems to be cut off"
    mend = "export or copy it again; if the row is complete, add a line end"
    return Problem(message, mend, file=file.name, line=line)


def _needs_parser(text: str) -> bool:
    """Return whether a text has quotation marks, or line ends of a kind that is no longer in use."""
    return '"' in text or ("\r" in text and text.count("\r") != text.count("\r\n"))


class _Body:
    """The rows below the headings, as columns; rows of another width are fitted."""

    def __init__(self, width: int, delimiter: str, file: FileBytes, line: int) -> None:
        self.columns: list[list[str]] = [[] for _ in range(width)]
        self.rows = array("q")
        self.narrow = array("q")
        """The lines of rows with fewer cells than the heading row has."""
        self.problems: list[Problem] = []
        self.widest = 0
        """Number of cells in the widest row that is not as wide as the heading row."""
        self.width, self.delimiter, self.file, self.line = width, delimiter, file, line
        self.known: list[dict[str, str] | None] = [{} for _ in range(width)]

    def numbers(self) -> Sequence[int]:
        """Return the line numbers of the rows: usually consecutive, as a range that takes no memory."""
        rows = self.rows
        one_by_one = len(rows) > 0 and rows[-1] - rows[0] + 1 == len(rows)
        return range(rows[0], rows[-1] + 1) if one_by_one else rows.tolist()

    def parse(self, reader: Iterator[list[str]]) -> None:
        """Add the rows that a parser reads."""
        while chunk := list(islice(reader, ROWS_A_SLICE)):
            self._take_rows(chunk)

    def split(self, text: str, start: int) -> None:
        """Add the lines of a text without quotation marks."""
        while start < len(text):
            end = text.find("\n", start + CHARACTERS_A_SLICE) + 1 or len(text)
            columns = self._columns(text[start:end].replace("\r\n", "\n").removesuffix("\n"))
            if columns:
                self._take(columns, range(self.line, self.line + len(columns[0])))
                self.line += len(columns[0])
            else:
                lines = io.StringIO(text[start:end], newline="")
                self._take_rows(list(csv.reader(lines, delimiter=self.delimiter, strict=True)))
            start = end

    def _columns(self, lines: str) -> list[list[str]]:
        """Return the cells of some lines as columns; nothing if a line is blank or of another width."""
        mark, width = self.delimiter, self.width
        blank = f"\n{mark * (width - 1)}\n" in f"\n{lines}\n"
        # A line end becomes a cell, which must follow exactly as many others as there are headings.
        cells = lines.replace("\n", f"{mark}\n{mark}").split(mark)
        ends = cells[width :: width + 1]
        whole = ends.count("\n") == len(ends) == lines.count("\n") and len(cells) % (width + 1) == width
        if blank or not whole or len(lines) > LONGEST_CELL:
            return []
        return [cells[i :: width + 1] for i in range(width)]

    def _take_rows(self, chunk: list[list[str]]) -> None:
        kept, numbers = self._whole(chunk)
        self._take(list(zip(*kept, strict=True)), numbers)

    def _take(self, columns: Sequence[Sequence[str]], numbers: Sequence[int]) -> None:
        """Add the cells of some rows to the columns, keeping equal texts once."""
        self.rows.extend(numbers)
        many = len(self.rows) > ROWS_TO_TELL
        for i, cells in enumerate(columns):
            known = self.known[i]
            if known is None:
                self.columns[i].extend(cells)
                continue
            self.columns[i].extend(map(known.setdefault, cells, cells))
            if many and len(known) * 2 > len(self.rows):
                self.known[i] = None

    def _whole(self, chunk: list[list[str]]) -> tuple[list[list[str]], list[int]]:
        """Return the rows that are not empty, in full width, with their line numbers."""
        kept, numbers = [], []
        for row in chunk:
            if any(row):
                fits = len(row) == self.width
                if len(row) < self.width:
                    self.narrow.append(self.line)
                if not fits:
                    self.widest = max(self.widest, filled(row))
                kept.append(row if fits else _fitted(row, self.width, self.line, self.file, self.problems))
                numbers.append(self.line)
            self.line += 1 + sum(cell.count("\n") for cell in row if "\n" in cell)
        return kept, numbers


def _fitted(row: list[str], width: int, line: int, file: FileBytes, problems: list[Problem]) -> list[str]:
    """Return a row padded with blanks; cells beyond the headings are a problem."""
    if any(cell.strip() for cell in row[width:]):
        message = f"the row has {len(row)} cells, but the heading row has {width}"
        mend = "put cells that contain the delimiter in quotation marks, or state the delimiter in a mapping"
        problems.append(Problem(message, mend, file=file.name, line=line))
    return (row + [""] * (width - len(row)))[:width]
