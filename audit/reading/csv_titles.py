"""Titles above the headings of a CSV, and what separates its cells."""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.errors import Problem
from audit.model.mapping import Mapping
from audit.phrases import counted
from audit.reading.mappings import wrong_delimiter
from audit.reading.quoting import quoted

DELIMITERS = ",;\t|"
LINE_END = re.compile(r"\r\n|\r|\n")


def delimiter_of(text: str) -> str:
    """Return the delimiter that splits a text into the most cells."""
    return max(DELIMITERS, key=text.count)


def filled(row: Sequence[str]) -> int:
    """Return the number of cells up to the last one that is not blank."""
    return max((n for n, cell in enumerate(row, 1) if cell.strip()), default=0)


def title_for_headings(
    headings: Sequence[str], line: str, below: str, mapping: Mapping, file: str, at: int
) -> Problem:
    """Return the problem of a heading row with far fewer cells than the rows below: a title, or misread.

    What separates the cells is seen from the rows below: a title may have other marks in it, or none.
    """
    best = delimiter_of(line)
    if mapping.delimiter and line.count(best) >= len(headings):
        return wrong_delimiter(mapping, file, len(headings), best, line.count(best) + 1)
    mark, cells = mapping.delimiter or delimiter_of(below), filled(headings)
    widths = (filled(row.split(mark)) for row in LINE_END.split(below))
    first = at + mapping.heading_rows + next((n for n, width in enumerate(widths) if width > cells), 0)
    begins = f"the row that begins with {quoted(headings[0].strip())} has {counted(cells, 'cell')}"
    message = f"{begins}, but line {first} has more, so it is probably not the heading row"
    mend = f"if the headings are in line {first}, state `skip_rows: {first - 1}` in a mapping"
    return Problem(message, mend, file=file, line=at)
