"""Headings: which field each stands for, and which row of a grid they are in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.errors import Problem
from audit.model.mapping import Mapping
from audit.reading.csv_titles import DELIMITERS
from audit.reading.grid import Grid
from audit.reading.identifiers import bare
from audit.reading.mapped_names import key_for, tag_parts, used
from audit.reading.mappings import wrong_delimiter
from audit.reading.quoting import quoted
from audit.reading.vocabulary import Vocabulary, folded

IGNORED = ""
FEWEST = 3
"""The smallest number of known headings for which a row without tag and serial, or one below the first with
other texts, is taken as headings. Judgement: no row of readings has three."""
WHICH = frozenset(("tag", "serial"))
"""Fields that say which device a row is about."""
NAMING = ("tag", "serial", "location")
"""Fields that name a device, be it only by its place."""
MOST_ABOVE = 20
"""How many rows below the first are searched for headings. Judgement: no title is longer."""


def heading_field(heading: str, mapping: Mapping, words: Vocabulary) -> str | None:
    """Return the field of one heading, IGNORED, or None if it is unknown."""
    key = key_for(heading, (*mapping.columns, *mapping.ignore), mapping)
    if key is not None:
        return words.field(mapping.columns.get(key, "")) or IGNORED
    found = words.headed(bare(heading))
    if found == "tag" and key_for(heading, tag_parts(mapping), mapping) is not None:
        return IGNORED  # a part of the tag
    if key_for(heading, (*mapping.split, *mapping.labelled), mapping) is not None:
        return IGNORED  # its settings are named under `split`, or in its cells
    if found is None and ("*" in mapping.ignore or key_for(heading, used(mapping), mapping) is not None):
        return IGNORED
    return found


def is_readback(grid: Grid, mapping: Mapping, words: Vocabulary) -> bool:
    """Return whether one of several grids is a readback: it says which device, or most headings are known.

    A readback that has lost its columns tag and serial is thus reported, not skipped.
    """
    if mapping.form == "across":
        return settings_at_left(grid, mapping, words)
    long = {folded(mapping.long.setting), folded(mapping.long.value)}
    if mapping.tag_from and long <= set(map(folded, grid.headings)):
        return True
    parts = tag_parts(mapping)
    if parts and set(parts) <= {key_for(heading, parts, mapping) for heading in grid.headings}:
        return True
    if any(words.field(h) in WHICH or heading_field(h, mapping, words) in WHICH for h in grid.headings):
        return True
    fields = [heading_field(h, mapping, words) for h in grid.headings if h.strip()]
    return _mostly_known(fields) or (bool(mapping.tag_from) and any(fields) and None not in fields)


def settings_at_left(grid: Grid, mapping: Mapping, words: Vocabulary) -> bool:
    """Return whether most texts at the left of a grid, of those with others beside them, are known."""
    labels = [label for label in grid.turned().headings if bare(label)]
    return _mostly_known([heading_field(label, mapping, words) for label in labels])


def _mostly_known(fields: Sequence[str | None]) -> bool:
    """Return whether most of some headings, and not only one or two, are known."""
    understood = sum(map(bool, fields))
    return understood >= FEWEST and 2 * understood > len(fields)


def headings_below(grid: Grid, mapping: Mapping, words: Vocabulary) -> int | None:
    """Return the entry that contains the headings, if the heading row does not; else None."""
    if mapping.form == "across" or is_readback(grid, mapping, words):
        return None
    long = {folded(mapping.long.setting): "setting", folded(mapping.long.value): "value"}
    for entry in range(min(len(grid.rows), MOST_ABOVE)):
        texts = [text for column in grid.columns if (text := bare(column[entry]))]
        fields = [long.get(folded(text)) or heading_field(text, mapping, words) for text in texts]
        if _mostly_known(fields) or (len(fields) > 1 and all(fields) and WHICH.intersection(fields)):
            return entry
    return None


def without_title(grid: Grid, mapping: Mapping, words: Vocabulary) -> Grid:
    """Return a grid from its headings on, if everything above is a title: rows with one text each."""
    at = headings_below(grid, mapping, words)
    if at is None:
        return grid
    above = [grid.headings, *zip(*(column[:at] for column in grid.columns), strict=True)]
    if any(sum(bool(text.strip()) for text in row) > 1 for row in above):
        return grid
    headings, columns = [column[at] for column in grid.columns], [column[at + 1 :] for column in grid.columns]
    return replace(
        grid, headings=headings, heading_row=grid.rows[at], columns=columns, rows=grid.rows[at + 1 :]
    )


def no_heading_row(grid: Grid, mapping: Mapping, words: Vocabulary, others: bool = False) -> Problem:
    """Return one problem for a row of headings none of which is known: it is hardly a heading row.

    `others`: the workbook has other sheets, whose headings are in the row that was looked at.
    """
    first = next((i for i, heading in enumerate(grid.headings) if heading.strip()), 0)
    stated = [f"`skip_rows: {mapping.skip_rows}`"] if mapping.skip_rows else []
    stated += [f"`heading_rows: {mapping.heading_rows}`"] if mapping.heading_rows > 1 else []
    headings, mend = "the headings", f"{' or '.join(stated)} in the mapping may be wrong"
    if not stated:
        headings = f"{quoted(grid.headings[first].strip())} and the other headings"
        mend = "state with `skip_rows` in a mapping how many rows are above the heading row"
    mend += ", or name its columns under `columns`"
    below = headings_below(grid, mapping, words)
    if below is not None:
        row = grid.rows[below]
        mend = f"state `skip_rows: {row - 1}` in a mapping if the headings are in row {row}"
        if others:
            mend = f"delete everything above row {row}, which has the headings, or save the sheet as a CSV "
            mend += f"and state `skip_rows: {row - 1}` for that: in a workbook it applies to all sheets"
    message = f"none of {headings} is known, so this is probably not the heading row"
    return grid.problem(message, mend, grid.heading_row, grid.letters[first])


def misread_headings(grid: Grid, mapping: Mapping, words: Vocabulary) -> Problem | None:
    """Return one problem for headings in a single cell, by the delimiter that a mapping states."""
    if not mapping.delimiter or len(grid.headings) != 1:
        return None
    for mark in DELIMITERS:
        names = grid.headings[0].split(mark)
        if len(names) > 1 and any(heading_field(name, mapping, words) for name in names):
            return wrong_delimiter(mapping, grid.file, 1, mark, len(names))
    return None


def rows_are_devices(grid: Grid, form: str) -> Problem:
    """Return the problem of a table with a row for each device, for which a mapping states another form."""
    message = f"the settings are named in row {grid.heading_row}, so each row is a device"
    mend = f"leave `form: {form}` out of the mapping for it"
    return grid.problem(message, mend, grid.heading_row)


def headings_in_two_rows(grid: Grid, mapping: Mapping, words: Vocabulary) -> Problem | None:
    """Return one problem for a tag or serial whose heading is a row lower than others, which are known."""
    if not grid.rows or not any(heading_field(h, mapping, words) for h in grid.headings if bare(h)):
        return None
    for heading, letter, column in zip(grid.headings, grid.letters, grid.columns, strict=True):
        if not bare(heading) and heading_field(column[0], mapping, words) in WHICH:
            row = grid.rows[0]
            message = f"{quoted(bare(column[0]))} is in row {row}, but "
            message += f"other headings are in row {grid.heading_row}"
            mend = "state `heading_rows: 2` in a mapping to put them together, such as `LRV as left`, and "
            mend += "name those that are not known under `columns`; "
            mend += f"or `skip_rows: {row - 1}` if row {row} has them all"
            return grid.problem(message, mend, row, letter)
    return None


def devices_as_columns(
    grid: Grid, names: Sequence[str], mapping: Mapping, words: Vocabulary
) -> Problem | None:
    """Return one problem for a table that has a column of settings and no other column that is understood.

    `names` are the fields of its headings, blank if these are unknown or ignored.
    """
    if len(names) < 2 or len(grid.rows) > 2 * len(words.known()):
        return None
    for i, (letter, column) in enumerate(zip(grid.letters, grid.columns, strict=True)):
        if any(names[:i]) or any(names[i + 1 :]):
            continue
        fields = [heading_field(text, mapping, words) for text in column if bare(text)]
        known = list(filter(None, fields))
        if _mostly_known(fields) and len({*known}) == len(known):
            listed = ", ".join(known[:FEWEST])
            message = f"settings are listed one below the other ({listed} …), so a row is not a device"
            mend = "if the devices are columns, or there is only one, state `form: across` in a mapping; "
            mend += "if each row is a setting, state `form: long` and name its columns under `long`"
            return grid.problem(message, mend, grid.heading_row, letter)
    return None
