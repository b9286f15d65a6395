"""Turned: tables with a column for each device, whose settings are listed below each other at the left.

Such a table is turned round, its labels becoming headings, and then read like any other. Meanwhile the row of
a label takes the place of a heading's letters, and the number of a column that of a row.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.errors import InputProblems, Problem, stop, stop_if
from audit.model.mapping import Mapping
from audit.model.readback import FIELDS
from audit.model.table import Table, column_letter
from audit.phrases import listed
from audit.reading import units
from audit.reading.csv_grid import MOST_COLUMNS
from audit.reading.grid import Grid
from audit.reading.headings import WHICH, heading_field, rows_are_devices
from audit.reading.identifiers import bare
from audit.reading.labelled_cells import slips_in_labelled, with_labelled
from audit.reading.mapped_names import is_ignored, tag_parts
from audit.reading.mappings import problem_in
from audit.reading.only_rows import only_kept, slips_in_only
from audit.reading.quoting import as_yaml
from audit.reading.raw_columns import raw_column
from audit.reading.resolving import resolve
from audit.reading.shared_cells import slips_in_shared_cells, taken_apart
from audit.reading.units_row import SAYS_UNITS, with_units
from audit.reading.vocabulary import Vocabulary, folded


def blocks_in(grid: Grid, mapping: Mapping, words: Vocabulary) -> list[Grid]:
    """Return a grid for each block of a grid: a tag or a serial number that comes again starts another.

    A network or a time directly above it that comes again as well belongs to the new block.
    """
    rows = [grid.heading_row, *grid.rows]
    at = {str(row): k for k, row in enumerate(rows)}
    turned = grid.turned()
    names = [heading_field(label, mapping, words) for label in turned.headings]
    starts, begin = [0], 0
    for i, name in enumerate(names):
        if name in WHICH and name in names[begin:i]:
            first = i
            while names[first - 1] in names[begin : first - 1] and names[first - 1] in FIELDS:
                first -= 1
            starts.append(at[turned.letters[first]])
            begin = first
    whole = [[heading, *column] for heading, column in zip(grid.headings, grid.columns, strict=True)]
    return [
        replace(grid, headings=[column[start] for column in whole], heading_row=rows[start],
                columns=[column[start + 1 : end] for column in whole], rows=rows[start + 1 : end])
        for start, end in zip(starts, [*starts[1:], len(rows)], strict=True)
    ]  # fmt: skip


def turned_table(grid: Grid, mapping: Mapping, words: Vocabulary) -> Table:
    """Return a block as a table with an entry for each column of a device. Raises InputProblems."""
    if grid.line_of:
        message = "has records, which `form: across` is not for"
        raise stop(message, "leave `form` out of the mapping, or state `form: long`", file=grid.file)
    if tag_parts(mapping):
        message = f"{grid.file} has a column for each device, whose tag is not put together from rows"
        raise InputProblems(
            [problem_in(mapping, ("tag_from",), message, "name the row of tags under `columns`")]
        )
    turned = _with_corner(grid.turned(), mapping, words)
    if len(turned.headings) > MOST_COLUMNS:
        message = f"has more than {MOST_COLUMNS:,} labels below each other for the same devices"
        raise stop(message, "check that this is the right file", file=grid.file, sheet=grid.sheet)
    _need_labels(grid, turned, mapping, words)
    devices, unit_at = _columns(turned, mapping, words)
    labelled = _of(turned, devices, first=int(_has_corner(turned, mapping, words)))
    names, problems = resolve(labelled, mapping, words)
    labels = column_letter(turned.heading_row - 1)
    problems += slips_in_only(labelled, mapping, words)
    problems += slips_in_shared_cells(labelled, names, mapping, words)
    problems += slips_in_labelled(labelled, names, mapping, words)
    stop_if([_at_label(problem, labelled, labels) for problem in problems])
    labelled, names = with_labelled(labelled, names, mapping, words)
    labelled, names = taken_apart(labelled, names, mapping, words)
    labelled, left_out = only_kept(labelled, mapping, words)
    mapping = _with_units(turned, unit_at, mapping, words)
    columns = {
        name: replace(raw_column(labelled, i, name, mapping, words), column=labels)
        for i, name in enumerate(names) if name
    }  # fmt: skip
    cells = {
        (entry, name): (int(labelled.letters[i]), column_letter(number - 1))
        for i, name in enumerate(names) if name
        for entry, number in enumerate(labelled.rows)
    }  # fmt: skip
    naming = [int(labelled.letters[i]) for i, name in enumerate(names) if name in WHICH]
    row = min(naming, default=grid.heading_row)
    return Table(grid.file, grid.sheet, [row] * len(labelled.rows), columns, cells, left_out=left_out)


def _need_labels(grid: Grid, turned: Grid, mapping: Mapping, words: Vocabulary) -> None:
    """Raise InputProblems if another column, or row, has more labels: no text in their place is quoted."""
    at = turned.heading_row - 1
    known = [_known_in([heading, *column], mapping, words)
             for heading, column in zip(grid.headings, grid.columns, strict=True)]  # fmt: skip
    most = known.index(max(known))
    if _known_in(grid.headings, mapping, words) > known[most]:
        raise InputProblems([rows_are_devices(grid, "across")])
    if known[most] > known[at]:
        first, other = grid.letters[at], grid.letters[most]
        message = f"the first column should name the settings, but column {other} does"
        mend = f"move column {other} before column {first}"
        raise stop(message, mend, file=grid.file, sheet=grid.sheet, line=grid.heading_row, column=first)


def _known_in(texts: Sequence[str], mapping: Mapping, words: Vocabulary) -> int:
    return sum(bool(heading_field(text, mapping, words)) for text in texts)


def _with_corner(turned: Grid, mapping: Mapping, words: Vocabulary) -> Grid:
    """Return a turned grid; the texts beside its corner are tags if no other row says which devices."""
    named = {heading_field(label, mapping, words) for label in turned.headings}
    if mapping.tag_from or named.intersection(WHICH) or not _has_corner(turned, mapping, words):
        return turned
    return replace(turned, headings=["tag", *turned.headings[1:]])


def _has_corner(turned: Grid, mapping: Mapping, words: Vocabulary) -> bool:
    """Return whether the first label is that of the labels: blank, or the word for a setting."""
    return any(
        folded(label) in ("", folded(mapping.long.setting)) and heading_field(label, mapping, words) is None
        for label in turned.headings[:1]
    )


def _columns(turned: Grid, mapping: Mapping, words: Vocabulary) -> tuple[list[int], int | None]:
    """Return the entries that are devices, and the one with the units, if there is one.

    A device has a tag or serial number. If no row has these, the only column with readings is a device.
    """
    fields = [heading_field(label, mapping, words) for label in turned.headings]
    which = [turned.filled(i) for i, name in enumerate(fields) if name in WHICH]
    readings = [turned.columns[i] for i, name in enumerate(fields) if name in words.settings]
    of_units = {folded(mapping.long.unit), *SAYS_UNITS}
    devices: list[int] = []
    nameless: list[int] = []
    unit_at = None
    for entry in range(len(turned.rows)):
        names, texts = _texts(which, entry), _texts(readings, entry)
        if any(is_ignored(text, mapping) for text in names or _texts(turned.columns[:1], entry)):
            continue
        if texts and all(map(units.known, texts)) and {*map(folded, names)} <= of_units:
            unit_at = entry
        elif names or texts:
            (devices if names else nameless).append(entry)
    if not which and len(nameless) == 1:
        return nameless, unit_at
    if nameless and not (which and is_ignored("", mapping)):
        raise InputProblems([_nameless(turned, nameless, fields, mapping)])
    return devices, unit_at


def _texts(rows: Sequence[Sequence[str]], entry: int) -> list[str]:
    return [text for row in rows if (text := bare(row[entry]))]


def _nameless(
    turned: Grid, entries: Sequence[int], fields: Sequence[str | None], mapping: Mapping
) -> Problem:
    """Return one problem for columns that have readings but no tag or serial number."""
    letters = [column_letter(turned.rows[entry] - 1) for entry in entries]
    first, row = bare(turned.headings[0]), int(turned.letters[0])
    if WHICH.intersection(fields):
        message = "the column has readings, but no tag or serial number"
        mend = 'write one; or state `ignore: [""]` in a mapping to leave out columns without one'
    elif mapping.tag_from:
        message = f"the columns {listed(letters)} have readings of one device"
        mend = "keep one of them, and name the texts above the others under `ignore` in a mapping"
    else:
        message = f"no row says which devices the columns {listed(letters)} are about"
        mend = "head the row of their tags tag"
        if first and fields[0] is None:
            stated = f"`columns: {{{as_yaml(first)}: tag}}`"
            mend = f"if row {row} does, state {stated} in a mapping; otherwise {mend}"
    return turned.problem(message, mend, row, letters[0])


def _of(turned: Grid, devices: Sequence[int], first: int) -> Grid:
    """Return a turned grid of some of its entries, from the `first` label on that has a text there."""
    kept = [
        i for i, texts in enumerate(turned.columns)
        if i >= first and any(bare(texts[entry]) for entry in devices)
    ]  # fmt: skip
    return replace(
        turned,
        headings=[turned.headings[i] for i in kept],
        letters=[turned.letters[i] for i in kept],
        columns=[[turned.columns[i][entry] for entry in devices] for i in kept],
        rows=[turned.rows[entry] for entry in devices],
    )


def _with_units(turned: Grid, unit_at: int | None, mapping: Mapping, words: Vocabulary) -> Mapping:
    """Return the mapping with the units beside the labels, for settings whose unit nothing else states."""
    if unit_at is None:
        return mapping
    beside = (
        (label, name, bare(texts[unit_at]))
        for label, texts in zip(turned.headings, turned.columns, strict=True)
        if (name := heading_field(label, mapping, words)) in words.settings
    )
    return with_units(mapping, beside, words)


def _at_label(problem: Problem, turned: Grid, labels: str) -> Problem:
    """Return a problem with a heading of a turned grid at the place of the label that it is in the file."""
    if problem.file != turned.file or problem.column not in turned.letters:
        return problem
    problem = replace(problem, line=int(problem.column), column=labels)
    if not bare(turned.headings[turned.letters.index(str(problem.line))]):
        message = "the row has texts, but nothing at its left says what they are"
        mend = 'write it there; or state `ignore: [""]` in a mapping to leave out rows without it'
        return replace(problem, message=message, mend=mend)
    return replace(problem, message=re.sub(r"^(unknown|the) column", r"\1 label", problem.message))
