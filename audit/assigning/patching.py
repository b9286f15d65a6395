"""A suggestion as a unified diff of the plan's files, to review, and to apply or not."""

from __future__ import annotations

import difflib
import io
import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from audit.assigning.places import Spot
from audit.endings import PERHAPS_TABLES, TABLES, has_keys
from audit.model.suggestion import PlanChange
from audit.model.table import column_index
from audit.reading.files import BYTE_ORDER_MARK

PATCHED = (".yaml", ".yml", *TABLES, *PERHAPS_TABLES)
"""Endings of files that a patch can change."""
NO_BREAK = "\\ No newline at end of file"
"""Follows the last line of a file in a diff if that line does not end with a line break."""


class _Cell(NamedTuple):
    """Where the old value of a change is in a file."""

    row: int
    column: int
    """Counted from 1: of characters in YAML, of cells in a table."""
    raw: str
    change: PlanChange


def diff(
    changes: Sequence[PlanChange],
    read: Callable[[str], str | None],
    with_codes: Collection[str] = (),
    of_several: Collection[Spot] = (),
) -> tuple[str, list[PlanChange]]:
    """Return the diff, and the changes that have to be made by hand.

    `read` gives the text of a file, None if it is not in UTF-8, as the diff is. Changes by hand are those in
    such files and in workbooks, those of settings that the plan does not state, those in files with access
    codes, since the diff would quote the codes, those beside cells of several lines, and those of a value
    that holds for several devices (`of_several`), which would all change.
    """
    by_hand: list[PlanChange] = []
    by_file: dict[str, dict[tuple[int, int, str], _Cell]] = defaultdict(dict)
    for change in changes:
        place = change.place
        reached = place and place.file not in with_codes and Path(place.file).suffix.lower() in PATCHED
        shared = place and (place.file, place.row, place.column) in of_several
        if place and reached and not shared and place.row and place.raw:
            column = place.column or ""
            number = int(column) if column.isdecimal() else column_index(column) + 1
            spot = _Cell(place.row, number, place.raw, change)
            by_file[place.file].setdefault((place.row, number, change.after), spot)
        else:
            by_hand.append(change)
    parts: list[str] = []
    for file, of_file in by_file.items():
        text = read(file)
        if text is None:
            by_hand += [spot.change for spot in of_file.values()]
            continue
        changed, left = _changed(text, of_file.values(), cells=not has_keys(file))
        by_hand += left
        # Lines as patch programs see them.
        before, after = ([*io.StringIO(whole)] for whole in (text, changed))
        name = _from_here(file)
        name += "\t" * (" " in name)  # marks its end, or `patch` takes it to end at the blank
        parts += difflib.unified_diff(before, after, f"a/{name}", f"b/{name}")
    # What patch programs expect where a file does not end with a line break.
    return "".join(line if line.endswith("\n") else f"{line}\n{NO_BREAK}\n" for line in parts), by_hand


def _changed(text: str, spots: Iterable[_Cell], *, cells: bool) -> tuple[str, list[PlanChange]]:
    """Return the text of a file with its changes made, and those whose place does not hold what it should.

    `cells` tells whether columns are cells, not characters.
    """
    by_hand: list[PlanChange] = []
    # No reader counts a byte order mark, but a patch program does.
    mark = BYTE_ORDER_MARK if text.startswith(BYTE_ORDER_MARK) else ""
    rows = _rows(text.removeprefix(mark), cells)
    # Some cell goes on in the next line, so that nobody knows which quotation mark opens one.
    runs_on = any(row.count('"') % 2 for row in rows)
    # Backwards, so that the columns of earlier changes in the same line stay valid.
    for spot in sorted(spots, key=lambda spot: spot[:2], reverse=True):
        line = rows[spot.row - 1]
        unsure = cells and runs_on and '"' in line
        start = None if unsure else _start_of_cell(line, spot.column) if cells else spot.column - 1
        if start is not None and line.startswith(("'", '"'), start):
            start += 1
        if start is None or not line.startswith(spot.raw, start):
            by_hand.append(spot.change)
        else:
            rows[spot.row - 1] = line[:start] + spot.change.after + line[start + len(spot.raw) :]
    return mark + "".join(rows), by_hand


def _from_here(file: str) -> str:
    """Return the path of a file below the working folder relative to that, which patch programs need."""
    path, here = Path(file), Path.cwd()
    return path.relative_to(here).as_posix() if path.is_absolute() and path.is_relative_to(here) else file


def reaches_out(changes: Sequence[PlanChange]) -> bool:
    """Return whether a patch of these changes names files outside the working folder: none applies these."""
    names = {Path(_from_here(change.place.file)) for change in changes if change.place}
    return any(name.is_absolute() or ".." in name.parts for name in names)


def _rows(text: str, cells: bool) -> list[str]:
    """Return the rows as their reader counts them: YAML breaks lines at U+2028 too, a table does not."""
    return [*io.StringIO(text, newline="")] if cells else text.splitlines(keepends=True)


def _start_of_cell(line: str, column: int) -> int | None:
    """Return where the text of a cell of a table begins in its line; None if it has no such cell."""
    delimiter = max(",;\t|", key=re.sub('"[^"]*"', "", line).count)
    cell = re.compile(rf'(?:"(?:[^"]|"")*"|[^"{delimiter}][^{delimiter}]*)?(?:[{delimiter}]|\Z)')
    start = 0
    for _ in range(column - 1):
        match = cell.match(line, start)
        if match is None or match.end() == len(line):
            return None
        start = match.end()
    return start
