"""Stacked: several tables one below the other on a sheet, each with its own heading row."""

from __future__ import annotations

from dataclasses import replace

from audit.model.mapping import Mapping
from audit.reading.grid import Grid
from audit.reading.headings import FEWEST, WHICH, heading_field
from audit.reading.identifiers import bare
from audit.reading.turned import blocks_in
from audit.reading.vocabulary import Vocabulary, folded


def tables_in(grid: Grid, mapping: Mapping, words: Vocabulary) -> list[Grid]:
    """Return a grid for each table of a grid: nearly always the grid itself.

    A row with only one text directly above a heading row is the title of that table, not a device.
    """
    if mapping.form == "across":
        return blocks_in(grid, mapping, words)
    starts = _heading_rows(grid, mapping, words)
    if not starts:
        return [grid]
    parts = [_cut(grid, 0, starts[0])]
    for start, end in zip(starts, [*starts[1:], len(grid.rows)], strict=True):
        headings = [column[start] for column in grid.columns]
        part = _cut(grid, start + 1, end)
        parts.append(replace(part, headings=headings, heading_row=grid.rows[start]))
    parts = [*map(_without_title, parts[:-1]), parts[-1]]
    return [part for part in parts if part.rows] or parts[:1]


def _heading_rows(grid: Grid, mapping: Mapping, words: Vocabulary) -> list[int]:
    """Return the entries that are headings again, with a heading in place of a tag or serial number."""
    known = {*map(str.casefold, grid.headings), *words.words}
    entries: set[int] = set()
    for heading, column in zip(grid.headings, grid.columns, strict=True):
        if heading_field(heading, mapping, words) not in WHICH:
            continue
        if suspect := known.intersection(map(str.casefold, column)) - {""}:
            entries.update(k for k, text in enumerate(column) if text.casefold() in suspect)
    return [k for k in sorted(entries) if _are_headings(grid, k, mapping, words)]


def _are_headings(grid: Grid, entry: int, mapping: Mapping, words: Vocabulary) -> bool:
    """Return whether most texts of a row are headings of the grid, or known headings.

    Fewer than three may be what somebody called a device, unless there is nothing else in the row.
    """
    headings = set(map(folded, grid.headings))
    texts = [text for column in grid.columns if (text := bare(column[entry]))]
    understood = sum(folded(text) in headings or bool(heading_field(text, mapping, words)) for text in texts)
    return 2 * understood > len(texts) and (understood >= FEWEST or 1 < understood == len(texts))


def _without_title(part: Grid) -> Grid:
    """Return a part without the rows at its end that are the title of the next one."""
    end = len(part.rows)
    while end and sum(bool(column[end - 1].strip()) for column in part.columns) == 1:
        end -= 1
    return _cut(part, 0, end)


def _cut(grid: Grid, start: int, end: int) -> Grid:
    columns = [column[start:end] for column in grid.columns]
    return replace(grid, columns=columns, rows=grid.rows[start:end])
