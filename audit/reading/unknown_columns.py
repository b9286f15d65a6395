"""Columns that are not known: what is said of them, and what they may have been meant for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.errors import Problem, known_words, near
from audit.model.mapping import Mapping
from audit.phrases import listed
from audit.reading.grid import Grid
from audit.reading.identifiers import bare
from audit.reading.labelled_cells import are_labelled
from audit.reading.quoting import cut, holds_code, quoted, quoted_name
from audit.reading.shared_cells import are_pairs, are_units
from audit.reading.unseparated import unseparated
from audit.reading.vocabulary import Vocabulary, folded, heading_and_unit

NAME_IT = "name it under `columns` or `ignore` in a mapping"
NAME_THEM = "name them under `columns` or `ignore` in a mapping"
OWN_HEADING = "give each its own heading, such as the name of its setting: a mapping cannot tell them apart"
MOST_HEADINGS = 3
"""How many unknown headings are quoted if many are reported as one problem."""
FOR_TAGS = frozenset({"node", "device", "instrument", "name", "point"})
"""Headings under which people write tags. They are not read as such: they may mean something else."""
MANY_UNKNOWN = 6
"""From this many unknown columns, and twice as many as known ones, they are reported as one. Judgement."""
MOST_KNOWN = 20
"""How many names are listed if columns are unknown: as many as anybody reads to the end."""


def with_known(problems: list[Problem], words: Vocabulary) -> list[Problem]:
    """Return the problems, with the known names added to the last heading that resembles none of them."""
    unlike = [i for i, problem in enumerate(problems) if problem.mend == NAME_IT]
    for i in unlike[-1:]:
        problems[i] = replace(problems[i], mend=f"{NAME_IT}; {_known(words)}")
    return problems


def _known(words: Vocabulary) -> str:
    return known_words(list(dict.fromkeys(["tag", "serial", *words.settings, *words.known()])), MOST_KNOWN)


def mapping_forgotten(grid: Grid, unknown: Sequence[int], mapping: Mapping, words: Vocabulary) -> Problem:
    """Return one problem for a table of which hardly any columns are known, or named in a mapping."""
    headings = [text for i in unknown if (text := grid.headings[i].strip())]
    shown = dict.fromkeys(quoted_name(text, words.secrets) for text in headings)
    first = listed([*shown], MOST_HEADINGS)
    message = (
        f"{len(unknown)} of {len(grid.headings)} columns are unknown, and no mapping names them: {first}"
    )
    mend = f"{NAME_THEM}; {_known(words)}"
    if len(set(headings)) < len(headings):
        mend = f"where several have the same heading, {OWN_HEADING}; otherwise {mend}"
    if mapping.heading_rows > 1:
        mend = f"`heading_rows: {mapping.heading_rows}` in the mapping may be wrong, or {NAME_THEM}"
    return _at_heading(grid, unknown[0], message, mend, words)


def unknown_column(grid: Grid, i: int, alike: int, words: Vocabulary) -> Problem:
    """Return the problem with the heading of a column; `alike` columns have it."""
    heading = grid.headings[i].strip()
    if folded(heading) == "setting":
        message = "there is a column 'setting' but no column 'value'"
        mend = "add the column of the values, headed value; or name it under `long` in a mapping"
    elif not heading:
        message, mend = _without_heading(grid, i)
    elif told := unseparated(grid, words):
        message, mend = told
    elif alike > 1:
        message = f"{alike} columns have the unknown heading {quoted_name(heading, words.secrets)}"
        mend = OWN_HEADING
        if grid.heading_row > 1:
            mend += "; or state `heading_rows: 2` if the row above does, and one row less under `skip_rows`"
    else:
        message, mend = _of_its_own(grid, i, words)
    return _at_heading(grid, i, message, mend, words)


def _without_heading(grid: Grid, i: int) -> tuple[str, str]:
    """Return what is said of a column without a heading."""
    filled = (row for row, text in zip(grid.rows, grid.columns[i], strict=True) if text.strip())
    first = next(filled, 0)
    mend = 'give it a heading; or state `ignore: [""]` in a mapping to leave out columns without one'
    if [first] == list(grid.rows[:1]) and i:
        mend += f", or `heading_rows: 2` if row {first} has further headings"
    return f"a column has no heading; its first text is in row {first}", mend


def _of_its_own(grid: Grid, i: int, words: Vocabulary) -> tuple[str, str]:
    """Return what is said of an unknown heading that one column has, and what it may have been meant for."""
    heading = grid.headings[i].strip()
    message = f"unknown column {quoted_name(heading, words.secrets)}"
    name = heading_and_unit(bare(heading))[0]
    inmost = words.field(name.rpartition(".")[2])  # of `radio.CH`, a value in a mapping inside a record
    close = [inmost] if inmost else near(name, words.known())
    hint = f"nearest: {', '.join(close)}; or " if close else ""
    if sharing := words.shared.get(folded(bare(heading))) or words.shared.get(folded(name)):
        message = f"the column {quoted(heading)} may be {' or '.join(sharing)}"
        hint = "use the name of one of them as heading; or "
    if folded(name) in FOR_TAGS and "tag" not in map(words.field, map(bare, grid.headings)):
        hint = "if it holds the tags, use tag as heading; or "
    if len(grid.headings) == 1:
        hint += "if it is a title, state in a mapping how many rows to skip (`skip_rows`); or "
    return message, hint + _shared_cells(grid.columns[i], words) + NAME_IT


def _at_heading(grid: Grid, i: int, message: str, mend: str, words: Vocabulary) -> Problem:
    """Return a problem at the heading of a column; the key of a record may hold an access code."""
    letter = grid.letters[i]
    place = "" if holds_code(letter, words.secrets) else cut(letter)
    return grid.problem(message, mend, grid.row_of_heading(letter), place)


def _shared_cells(texts: Sequence[str], words: Vocabulary) -> str:
    """Return what a mapping can state of a column with units, or with several settings in each cell."""
    if are_units(texts):
        return (
            "if it has the unit of other numbers in its row, name it under `unit_columns` in a mapping; or "
        )
    if are_pairs(texts):
        return "if it has two settings in each cell, name it under `split` in a mapping; or "
    if are_labelled(texts, words):
        return "if it has settings behind labels, name it under `labelled` in a mapping; or "
    return ""
