"""A suggestion as a unified diff of the plan's files, to review and to apply, or not."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Sequence
from pathlib import Path

from audit.model.suggestion import PlanChange

NO_BREAK = "\\ No newline at end of file"
"""Stands in a diff behind the last line of a file that does not end with a line break."""


def diff(changes: Sequence[PlanChange], read: Callable[[str], str]) -> tuple[str, list[PlanChange]]:
    """Return the diff, and the changes that have to be made by hand.

    `read` gives the text of a file. By hand are those in workbooks, and those of which the plan says nothing.
    """
    by_hand: list[PlanChange] = []
    by_file: dict[str, list[PlanChange]] = {}
    for change in changes:
        if change.place and Path(change.place.file).suffix.lower() in (".yaml", ".yml", ".csv"):
            by_file.setdefault(change.place.file, []).append(change)
        else:
            by_hand.append(change)
    parts: list[str] = []
    for file, of_file in by_file.items():
        before = read(file).splitlines(keepends=True)
        after = list(before)
        # From behind, so that the columns of what stands in front in the same line hold.
        for change in sorted(of_file, key=_where, reverse=True):
            if not _replaced(after, change):
                by_hand.append(change)
        parts += difflib.unified_diff(before, after, f"a/{file}", f"b/{file}")
    # As patch programs ask for it where a file does not end with a line break.
    return "".join(line if line.endswith("\n") else f"{line}\n{NO_BREAK}\n" for line in parts), by_hand


def _where(change: PlanChange) -> tuple[int, int]:
    place = change.place
    if place is None or place.row is None:
        return 0, 0
    return place.row, _cell(place.column or "")


def _cell(column: str) -> int:
    """Return a column as a number: of characters in YAML, of cells in a table (A is 1)."""
    if column.isdecimal():
        return int(column)
    number = 0
    for letter in column:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _replaced(lines: list[str], change: PlanChange) -> bool:
    """Put a new value where the old one stands; tell whether it stood there as expected."""
    place = change.place
    if place is None or place.row is None or place.raw is None or not 0 < place.row <= len(lines):
        return False
    line, (_, column) = lines[place.row - 1], _where(change)
    start = column - 1 if (place.column or "").isdecimal() else _start_of_cell(line, column)
    if start is None or line[start : start + len(place.raw)] != place.raw:
        return False
    lines[place.row - 1] = line[:start] + change.after + line[start + len(place.raw) :]
    return True


def _start_of_cell(line: str, column: int) -> int | None:
    """Return where a cell of a table begins in its line; None where quotation marks make that uncertain."""
    if '"' in line:
        return None
    delimiter = max(",;\t|", key=line.count)
    cells = line.split(delimiter)
    return sum(len(cell) + 1 for cell in cells[: column - 1]) if column <= len(cells) else None
