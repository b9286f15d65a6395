"""Only rows: those that a mapping keeps, or does not leave out, by what they say in a column."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import replace
from itertools import compress

from audit.errors import Problem
from audit.model.mapping import Mapping
from audit.model.table import HIDDEN, NOTHING_LEFT_OUT, LeftOut
from audit.phrases import counted, listed
from audit.reading.grid import Grid
from audit.reading.headings import heading_field
from audit.reading.identifiers import bare
from audit.reading.mappings import problem_in, written_in
from audit.reading.named_columns import columns_of, not_there_once
from audit.reading.quoting import cut, may_be_code, quoted
from audit.reading.vocabulary import Vocabulary, folded

PARTS = ("only", "leave_out")
"""The keys of a mapping under which rows are chosen."""
MOST_TEXTS = 5
"""How many different texts of rows that were left out are quoted."""


def slips_in_only(grid: Grid, mapping: Mapping, words: Vocabulary) -> list[Problem]:
    """Return problems for headings under `only` or `leave_out` that are not there, or must not be shown."""
    problems = []
    what = "label" if mapping.form == "across" else "column"
    for part, heading in _named(mapping):
        steps, its = (part, heading), quoted(heading, words.secrets)
        fields = {heading_field(heading, mapping, words), words.field(heading)}
        if wrong := [*not_there_once(heading, getattr(mapping, part), steps, grid, mapping, words)]:
            problems += wrong
        elif words.secrets & fields or folded(heading) == folded(mapping.long.value):
            message = f"the {what} {its} may have access codes, which are not compared with a mapping"
            problems.append(problem_in(mapping, steps, message, f"name another {what}"))
    return problems


def only_kept(grid: Grid, mapping: Mapping, words: Vocabulary) -> tuple[Grid, LeftOut]:
    """Return a grid with the rows that the mapping keeps, and what the others are.

    Its headings must have no slips. Texts are compared as they are written, before cells are taken apart, but
    without case and blanks around them. Names and times from merged cells are filled in first, since the row
    that has the text may be left out.
    """
    said: dict[int, str] = {}
    for part, heading in _named(mapping):
        texts = {bare(text).casefold() for text in _texts(part, heading, mapping)}
        at = columns_of(heading, getattr(mapping, part), grid, mapping)[0]
        written = grid.as_written.get(grid.letters[at])
        cells = [written[row] for row in grid.rows] if written else grid.filled(at)
        for entry, text in enumerate(map(bare, cells)):
            if (text.casefold() in texts) == (part == "leave_out"):
                its = HIDDEN if may_be_code(heading) else quoted(text, words.secrets)
                said.setdefault(entry, f"{cut(bare(heading))} {its if text else 'blank'}")
    if not said:
        return grid, NOTHING_LEFT_OUT
    kept = [entry not in said for entry in range(len(grid.rows))]
    names = [heading_field(heading, mapping, words) for heading in grid.headings]
    columns = [grid.filled(i) if name and name not in words.settings else grid.columns[i]
               for i, name in enumerate(names)]  # fmt: skip
    left_out = LeftOut(tuple(said.values()), _have_codes(grid, said, mapping, words))
    columns = [list(compress(column, kept)) for column in columns]
    return replace(grid, columns=columns, rows=list(compress(grid.rows, kept))), left_out


def _named(mapping: Mapping) -> list[tuple[str, str]]:
    """Return each heading that a mapping names for this, behind the key under which it does."""
    return [(part, heading) for part in PARTS for heading in getattr(mapping, part)]


def _texts(part: str, heading: str, mapping: Mapping) -> list[str]:
    """Return the texts that a mapping gives for a column, as they are written."""
    given = getattr(mapping, part)[heading]
    if not isinstance(given, tuple):
        return [written_in(mapping, (part, heading), given)]
    return [written_in(mapping, (part, heading, i), text) for i, text in enumerate(given)]


def _have_codes(grid: Grid, entries: Collection[int], mapping: Mapping, words: Vocabulary) -> bool:
    """Return whether rows may have access codes: in a column of codes, or as settings of a long table."""
    for heading, column in zip(grid.headings, grid.columns, strict=True):
        texts = {bare(column[entry]) for entry in entries} - {""}
        names = texts if folded(heading) == folded(mapping.long.setting) else {heading} if texts else set()
        if any(heading_field(name, mapping, words) in words.secrets for name in names):
            return True
    return False


def told(left_out: Iterable[LeftOut], word: str, mapping: Mapping) -> str:
    """Return how many rows (or what they are called) were left out, and what they say; blank if none was."""
    times = Counter(text for one in left_out for text in one.texts)
    if not times:
        return ""
    texts = listed([f"{text} ({number:,})" for text, number in times.items()], MOST_TEXTS)
    by = " and ".join(f"`{part}`" for part in PARTS if getattr(mapping, part))
    return f"{counted(times.total(), word)} left out by {by} in its mapping: {texts}"
