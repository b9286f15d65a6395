"""Long tables, with a row a setting, turned into wide ones, with an entry a reading of a device."""

from __future__ import annotations

from collections.abc import Callable

from audit.errors import InputProblems, Problem, nearest
from audit.model.mapping import Mapping
from audit.model.readback import FIELDS
from audit.model.table import RawColumn, Style, Table
from audit.reading.grid import Grid
from audit.reading.values import bare
from audit.reading.vocabulary import Vocabulary, folded

StyleOf = Callable[[str, str, Mapping, Vocabulary], Style]


def is_long(grid: Grid, words: Vocabulary) -> bool:
    """Tell whether a grid has the columns of a long table: setting and value."""
    headings = {folded(heading) for heading in grid.headings}
    return {"setting", "value"} <= headings and "setting" not in words.settings


def widened(grid: Grid, mapping: Mapping, words: Vocabulary, style_of: StyleOf) -> Table:
    """Return a long grid as a wide table: each value keeps the row and column that it stood in.

    Rows with the same identity, reader and time make one entry; a setting that comes again makes
    another, so that both readings are kept.
    """
    from audit.reading.tables import hidden, resolve

    at = _positions(grid, mapping)
    others = [i for i in range(len(grid.headings)) if i not in at.values()]
    part = Grid(grid.file, grid.sheet, [grid.headings[i] for i in others],
                [grid.letters[i] for i in others], grid.heading_row,
                [grid.columns[i] for i in others], grid.rows)  # fmt: skip
    names, problems = resolve(part, mapping, words)
    settings = _settings(grid, at["setting"], mapping, words, problems)
    if problems:
        raise InputProblems(problems)
    fields = [(name, part.columns[i], part.letters[i], part.headings[i])
              for i, name in enumerate(names) if name]  # fmt: skip

    entries: dict[tuple[tuple[str, ...], int], int] = {}
    count: dict[tuple[tuple[str, ...], str], int] = {}
    rows: list[int] = []
    texts: dict[str, dict[int, str]] = {}
    cells: dict[tuple[int, str], tuple[int, str]] = {}
    values = grid.columns[at["value"]]
    units = grid.columns[at["unit"]] if "unit" in at else None
    for k, row in enumerate(grid.rows):
        name = settings[k]
        if not name:
            continue
        who = tuple(column[k] for field, column, _, _ in fields if field != "note")
        turn = count[who, name] = count.get((who, name), 0) + 1
        entry = entries.setdefault((who, turn), len(entries))
        if entry == len(rows):
            rows.append(row)
            for field, column, letter, _ in fields:
                texts.setdefault(field, {})[entry] = column[k]
                cells[entry, field] = (row, letter)
        text = values[k]
        if units and bare(units[k]) and bare(text):
            text = f"{bare(text)} {bare(units[k])}"
        texts.setdefault(name, {})[entry] = text
        cells[entry, name] = (row, grid.letters[at["value"]])

    headings = {field: heading for field, _, _, heading in fields}
    columns = {}
    for name, by_entry in texts.items():
        heading = headings.get(name, name)
        style = style_of(heading, name, mapping, words)
        raw = RawColumn([by_entry.get(i, "") for i in range(len(rows))], "", heading, style)
        columns[name] = hidden(raw, name, words)
    return Table(grid.file, grid.sheet, rows, columns, cells)


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


def _settings(grid: Grid, at: int, mapping: Mapping, words: Vocabulary, problems: list[Problem]) -> list[str]:
    """Return the setting that each row is about, blank where it is to be ignored."""
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
                message = f"unknown setting {word!r}" if word else "the row names no setting"
                mend = nearest(word, words.settings)
                problems.append(Problem(message, mend, grid.file, grid.sheet, grid.rows[k], grid.letters[at]))
        found.append(meaning[text])
    return found
