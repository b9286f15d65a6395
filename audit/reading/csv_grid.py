"""CSV files as grids, read in slices so that equal texts are kept once."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from contextlib import suppress
from itertools import islice

from audit.errors import InputProblems, Problem, stop
from audit.model.mapping import Mapping
from audit.model.table import column_letter
from audit.reading.files import FileBytes, decode, is_text_encoding
from audit.reading.grid import Grid
from audit.reading.mappings import problem_in
from audit.reading.quoting import quoted

DELIMITERS = ",;\t|"
ROWS_A_SLICE = 128
"""Few enough for a slice to stay in the processor's cache: measured, twice as fast as 4096."""
MOST_COLUMNS = 2000
LONGEST_CELL = 100_000


def read_csv(file: FileBytes, mapping: Mapping) -> Grid:
    """Return the grid of a CSV file. Raises InputProblems."""
    csv.field_size_limit(LONGEST_CELL)
    if mapping.encoding and not is_text_encoding(mapping.encoding):
        mend = "use a name such as utf-8 or cp1252"
        message = f"unknown encoding {quoted(mapping.encoding)}"
        raise InputProblems([problem_in(mapping, ("encoding",), message, mend)])
    text = decode(file, mapping.encoding)
    lines = io.StringIO(text, newline="")
    for _ in range(mapping.skip_rows):
        lines.readline()
    start = lines.tell()
    first = lines.readline()
    while first and not first.strip():  # blank lines above the headings
        start = lines.tell()
        first = lines.readline()
    if not first and mapping.skip_rows:
        message = f"has no more than the {mapping.skip_rows} rows that the mapping skips"
        raise stop(message, "correct `skip_rows` in the mapping", file=file.name)
    above = text.count("\n", 0, start)
    lines.seek(start)
    reader = csv.reader(lines, delimiter=mapping.delimiter or _delimiter(first), strict=True)
    try:
        headings = next(reader, [])
        _check_headings(headings, file, above + 1)
        columns, rows = _body(reader, len(headings), file, above, may_break='"' in text)
    except csv.Error as error:
        raise _malformed(error, file, text[start:], above, reader.dialect.delimiter) from None
    letters = [column_letter(i) for i in range(len(headings))]
    return Grid(file.name, "", headings, letters, above + 1, columns, rows)


def _malformed(error: csv.Error, file: FileBytes, text: str, above: int, delimiter: str) -> InputProblems:
    """Return what is wrong with a CSV, at the line on which the row at fault begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    with suppress(csv.Error):
        for _ in reader:
            line = reader.line_num + 1
    message, mend = f"is not a well-formed CSV: {error}", "check the quotation marks in and above this line"
    if "unexpected end" in str(error):
        message = "a quotation mark opened here is never closed"
        mend = "close it, or double quotation marks that stand inside a cell"
    elif "field larger" in str(error):
        message = f"a cell is longer than {LONGEST_CELL:,} characters"
        mend = "check the quotation marks in and above this line, and that it is the right file"
    return stop(message, mend, file=file.name, line=above + line)


def _delimiter(line: str) -> str:
    """Return the delimiter that splits the heading row into the most cells."""
    return max(DELIMITERS, key=line.count)


def _check_headings(headings: list[str], file: FileBytes, line: int) -> None:
    if len(headings) > MOST_COLUMNS:
        message = f"its heading row has {len(headings):,} cells"
        raise stop(message, "check that it is the right file", file=file.name, line=line)


def _body(
    reader: Iterator[list[str]], width: int, file: FileBytes, above: int, *, may_break: bool
) -> tuple[list[list[str]], list[int]]:
    columns: list[list[str]] = [[] for _ in range(width)]
    known: dict[str, str] = {}
    rows: list[int] = []
    problems: list[Problem] = []
    line = above + reader.line_num + 1  # type: ignore[attr-defined]
    while chunk := list(islice(reader, ROWS_A_SLICE)):
        kept, numbers, line = _rows(chunk, width, line, file, problems, may_break=may_break)
        rows.extend(numbers)
        for column, cells in zip(columns, zip(*kept, strict=True), strict=False):
            column.extend(map(known.setdefault, cells, cells))
    if problems:
        raise InputProblems(problems)
    return columns, rows


def _rows(
    chunk: list[list[str]],
    width: int,
    line: int,
    file: FileBytes,
    problems: list[Problem],
    *,
    may_break: bool,
) -> tuple[list[list[str]], Sequence[int], int]:
    """Return the rows of a slice that hold anything, in full width, with their line numbers.

    Only a file with quotation marks may have cells in which a line breaks.
    """
    whole = all(len(row) == width and any(row) for row in chunk)
    if whole and not (may_break and any(map(_breaks, chunk))):
        return chunk, range(line, line + len(chunk)), line + len(chunk)
    kept, numbers = [], []
    for row in chunk:
        if any(row):
            kept.append(row if len(row) == width else _fitted(row, width, line, file, problems))
            numbers.append(line)
        line += 1
        for cell in row:
            if "\n" in cell:
                line += cell.count("\n")
    return kept, numbers, line


def _breaks(row: list[str]) -> bool:
    """Tell whether a line breaks inside a cell of a row."""
    return "\n" in "".join(row)


def _fitted(row: list[str], width: int, line: int, file: FileBytes, problems: list[Problem]) -> list[str]:
    """Return a row filled up with blanks; cells beyond the headings are a problem."""
    if any(cell.strip() for cell in row[width:]):
        message = f"the row has {len(row)} cells, the heading row has {width}"
        mend = "put cells that hold the delimiter between quotation marks, or state the delimiter"
        problems.append(Problem(message, mend, file=file.name, line=line))
    return (row + [""] * (width - len(row)))[:width]
