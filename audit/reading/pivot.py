"""Long tables, with a row a setting, turned into wide ones, with an entry a reading of a device."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from audit.errors import InputProblems, Problem, nearest
from audit.model.mapping import Mapping
from audit.model.readback import FIELDS
from audit.model.table import RawColumn, Style, Table
from audit.reading.grid import Grid
from audit.reading.quoting import HIDDEN_QUOTE, quoted
from audit.reading.values import bare
from audit.reading.vocabulary import Vocabulary, folded

StyleOf = Callable[[str, str, Mapping, Vocabulary], Style]


def is_long(grid: Grid, words: Vocabulary) -> bool:
    """Tell whether a grid has the columns of a long table: setting and value."""
    headings = {folded(heading) for heading in grid.headings}
    return {"setting", "value"} <= headings and "setting" not in words.settings


Cells = dict[tuple[int, str], tuple[int, str]]
"""Entry and field → the row and column that its text stands in."""


def widened(grid: Grid, mapping: Mapping, words: Vocabulary, style_of: StyleOf) -> Table:
    """Return a long grid as a wide table: each value keeps the row and column that it stood in.

    Rows with the same identity, reader and time make one entry; a setting that comes again makes
    another, so that both readings are kept. Raises InputProblems.
    """
    from audit.reading.tables import hidden, resolve

    at = _positions(grid, mapping)
    about = _without(grid, at.values())
    names, problems = resolve(about, mapping, words, also=set(grid.columns[at["setting"]]))
    settings = _settings(grid, at, mapping, words, problems)
    if problems:
        raise InputProblems(problems)
    fields = {name: i for i, name in enumerate(names) if name}
    entries = _entries(about, fields, settings)
    texts, cells = _spread(grid, at, about, fields, settings, entries)
    size = 1 + max(entries, default=-1)
    columns = {}
    for name, by_entry in texts.items():
        heading = about.headings[fields[name]] if name in fields else name
        column = [by_entry.get(entry, "") for entry in range(size)]
        style = style_of(heading, name, mapping, words)
        columns[name] = hidden(RawColumn(column, "", heading, style), name, words)
    first_rows = dict(zip(reversed(entries), reversed(grid.rows), strict=True))
    return Table(grid.file, grid.sheet, [first_rows[e] for e in range(size)], columns, cells)


def _without(grid: Grid, positions: Iterable[int]) -> Grid:
    """Return a grid without some of its columns."""
    left = [i for i in range(len(grid.headings)) if i not in set(positions)]
    headings, letters = [grid.headings[i] for i in left], [grid.letters[i] for i in left]
    columns = [grid.columns[i] for i in left]
    return Grid(grid.file, grid.sheet, headings, letters, grid.heading_row, columns, grid.rows)


def _entries(about: Grid, fields: dict[str, int], settings: Sequence[str]) -> list[int]:
    """Return the entry that each row belongs to, counted from 0 in the order in which they begin."""
    identity = [about.columns[i] for field, i in fields.items() if field != "note"]
    numbers: dict[tuple[object, ...], int] = {}
    turns: Counter[tuple[object, ...]] = Counter()
    entries = []
    for k, setting in enumerate(settings):
        who = tuple(column[k] for column in identity)
        turn = turns[who, setting] if setting else 0
        turns[who, setting] += 1
        entries.append(numbers.setdefault((who, turn), len(numbers)))
    return entries


def _spread(
    grid: Grid,
    at: dict[str, int],
    about: Grid,
    fields: dict[str, int],
    settings: Sequence[str],
    entries: Sequence[int],
) -> tuple[dict[str, dict[int, str]], Cells]:
    """Return field → entry → text, and the place of each of these texts."""
    texts: dict[str, dict[int, str]] = {name: {} for name in fields}
    cells: Cells = {}
    values, letter = grid.columns[at["value"]], grid.letters[at["value"]]
    units = grid.columns[at["unit"]] if "unit" in at else [""] * len(grid.rows)
    for k, (row, entry, setting) in enumerate(zip(grid.rows, entries, settings, strict=True)):
        for name, i in fields.items():
            if entry not in texts[name]:
                texts[name][entry] = about.columns[i][k]
                cells[entry, name] = (row, about.letters[i])
        if setting:
            has_unit = bare(units[k]) and bare(values[k])
            text = f"{bare(values[k])} {bare(units[k])}" if has_unit else values[k]
            texts.setdefault(setting, {})[entry] = text
            cells[entry, setting] = (row, letter)
    return texts, cells


def _positions(grid: Grid, mapping: Mapping) -> dict[str, int]:
    """Return where the columns for setting, value and unit stand."""
    headings = [folded(heading) for heading in grid.headings]
    at: dict[str, int] = {}
    problems = []
    wanted = {
        "setting": mapping.long.setting,
        "value": mapping.long.value,
        "unit": mapping.long.unit,
    }
    for part, heading in wanted.items():
        if folded(heading) in headings:
            at[part] = headings.index(folded(heading))
        elif part != "unit" or heading:
            message = f"has no column {heading!r}, which a long table needs"
            mend = f"{nearest(heading, grid.headings)}; name it under `long` in a mapping"
            problems.append(Problem(message, mend, grid.file, grid.sheet, grid.heading_row))
    if problems:
        raise InputProblems(problems)
    if "unit" not in at and "unit" in headings:
        at["unit"] = headings.index("unit")
    return at


def _settings(
    grid: Grid, positions: dict[str, int], mapping: Mapping, words: Vocabulary, problems: list[Problem]
) -> list[str]:
    """Return the setting that each row is about, blank where it is to be ignored."""
    at, value_at = positions["setting"], positions["value"]
    mapped = {bare(key): value for key, value in mapping.columns.items()}
    meaning: dict[str, str] = {}
    found = []
    for k, text in enumerate(grid.columns[at]):
        if text not in meaning:
            word = bare(text)
            name = words.field(mapped.get(word, word))
            ignored = word in mapping.ignore or "*" in mapping.ignore
            meaning[text] = name or ""
            if (name is None or name in FIELDS) and not ignored:
                exchanged = words.field(grid.columns[value_at][k]) in words.secrets
                shown = HIDDEN_QUOTE if exchanged else quoted(word, words.secrets)
                message = f"unknown setting {shown}" if word else "the row names no setting"
                mend = nearest(word, words.settings)
                problems.append(Problem(message, mend, grid.file, grid.sheet, grid.rows[k], grid.letters[at]))
        found.append(meaning[text])
    return found
