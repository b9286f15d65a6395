"""Our own sheets, filled in: the decimal mark that they declare, and rows in which nothing was read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from audit.errors import Problem, stop_if
from audit.model.mapping import Mapping
from audit.model.readback import DECIMAL_MARKS, EITHER_MARK, FIELDS, GIVEN, PLANNED_ROW, WHERE_ROW
from audit.model.table import Table
from audit.reading.grid import Grid
from audit.reading.headings import heading_field
from audit.reading.identifiers import bare
from audit.reading.quoting import quoted
from audit.reading.vocabulary import Vocabulary, folded

MARK = "decimal_mark"
_EITHER = DECIMAL_MARKS[EITHER_MARK]
WRITTEN = ("serial", "type", "note")
"""Fields that, like settings, are filled in by somebody who was at the device, or says why not."""
_APOSTROPHE = re.compile(r"^'(?=\s*[=+\-@＝＋－＠])")
"""Keeps a spreadsheet from taking a tag for a formula; added when a sheet is written."""


def with_declared_mark(grid: Grid, mapping: Mapping, words: Vocabulary) -> Mapping:
    """Return the mapping with the decimal mark that a column of the grid declares, if there is one.

    A mapping that states the mark itself takes precedence. If most rows declare none, what a few declare is
    not forced on them: either mark is read. Raises InputProblems for an unknown mark, and for several marks.
    """
    named = [heading_field(heading, mapping, words) for heading in grid.headings]
    if MARK not in named or MARK in words.settings or "decimal" in mapping.model_fields_set:
        return mapping
    at = named.index(MARK)
    texts = grid.columns[at]
    declared = _declared(texts)
    if not declared:
        return mapping
    stop_if(list(_wrong_marks(grid, at, declared)))
    undeclared = sum(not bare(text) for text in texts)
    mark = _EITHER if 2 * undeclared > len(texts) else next(iter(declared))
    return mapping.model_copy(update={"decimal": mark})


def _declared(texts: Sequence[str]) -> dict[str, int]:
    """Return each mark that rows declare → the first entry that does; an unknown one as it is written.

    Where some rows declare either mark, one that others chose was chosen for their own rows only.
    """
    first: dict[str, int] = {}
    for entry, text in enumerate(texts):
        if bare(text):
            first.setdefault(_mark(text), entry)
    chosen = [mark for mark in first if mark != _EITHER]
    if _EITHER not in first or not chosen:
        return first
    if len(chosen) == 1 and chosen[0] in DECIMAL_MARKS.values():
        return {_EITHER: first[_EITHER]}
    return {mark: first[mark] for mark in chosen}


def _wrong_marks(grid: Grid, at: int, declared: dict[str, int]) -> Iterator[Problem]:
    """Yield a problem for each unknown mark; if all are known, one for the second of several."""

    def problem(entry: int, message: str, mend: str) -> Problem:
        return grid.problem(message, mend, grid.row(entry, at), grid.letters[at])

    written = {entry: quoted(bare(grid.columns[at][entry])) for entry in declared.values()}
    unknown = [entry for mark, entry in declared.items() if mark not in DECIMAL_MARKS.values()]
    for entry in unknown:
        yield problem(entry, f"{written[entry]} is not a decimal mark", f"write {_known()}")
    if len(written) > 1 and not unknown:
        one, other = list(written)[:2]
        message = f"the rows declare different decimal marks, {written[one]} and {written[other]}"
        yield problem(other, message, "put rows with different marks into separate files")


def _mark(text: str) -> str:
    """Return the mark that a text names, or else the text itself."""
    known = {folded(name): mark for name, mark in DECIMAL_MARKS.items()}
    return known.get(folded(text), bare(text))


def _known() -> str:
    *names, last = DECIMAL_MARKS
    return f"{', '.join(names)}, or {last}"


def only_filled_in(table: Table) -> Table:
    """Return one of our own sheets without the rows that are not readings; any other table as it is.

    These are the row that says where to read, planned values, and rows without any setting or serial number:
    a name or a time alone is not a reading. Nor is a note, but a row with one is kept for what it says. A row
    that a person has added is always kept; it lacks the fields that were already filled in on the sheet.
    """
    tags = table.texts("tag")
    column = table.columns.get(MARK)
    no_readings = _where_rows(table)
    if PLANNED_ROW in "\n".join(tags):  # one search, quick even with a hundred thousand tags
        no_readings |= {entry for entry, tag in enumerate(tags) if tag.startswith(PLANNED_ROW)}
    if not no_readings and (column is None or column.fixed):
        return table
    no_readings |= _unread(table)
    kept = [entry for entry in range(len(table.rows)) if entry not in no_readings]
    columns = {}
    for name, column in table.columns.items():
        texts = [column.texts[entry] for entry in kept]
        if name in GIVEN:
            texts = [_APOSTROPHE.sub("", text) for text in texts]
        raw = [column.raw[entry] for entry in kept] if column.raw else ()
        columns[name] = replace(column, texts=texts, raw=raw)
    return replace(table, rows=[table.rows[entry] for entry in kept], columns=columns)


def _where_rows(table: Table) -> set[int]:
    """Return the entries that say where to read: recognised by tag or serial number, else by location."""
    named = [name for name in ("tag", "serial") if name in table.columns] or ["location"]
    return {
        entry
        for name in named if WHERE_ROW[name] in table.texts(name)
        for entry, text in enumerate(table.texts(name)) if text == WHERE_ROW[name]
    }  # fmt: skip


def _unread(table: Table) -> set[int]:
    """Return the entries that the sheet was issued with and that contain no reading."""
    brought = [table.texts(name) for name in ("site", "plan_revision", MARK)]
    entries = [entry for entry, texts in enumerate(zip(*brought, strict=True)) if any(map(bare, texts))]
    for name, column in table.columns.items():
        if name not in FIELDS or name in WRITTEN:
            entries = [entry for entry in entries if column.is_blank(entry)]
    return set(entries)
