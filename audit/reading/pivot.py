"""Long tables (one row per setting) turned into wide ones (one entry per reading of a device)."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import repeat
from typing import NamedTuple

from audit.errors import Problem, nearest, stop_if
from audit.model import mapping as written
from audit.model.readback import FIELDS
from audit.model.table import RawColumn, Table
from audit.phrases import counted
from audit.reading.composed_tags import slips_in_parts, with_composed_tag
from audit.reading.grid import Grid
from audit.reading.headings import NAMING, rows_are_devices
from audit.reading.identifiers import bare
from audit.reading.mapped_names import is_ignored, key_for
from audit.reading.quoting import HIDDEN_QUOTE, quoted, to_name
from audit.reading.raw_columns import hidden, style_of, translated
from audit.reading.resolving import resolve
from audit.reading.vocabulary import Vocabulary, folded


def is_long(grid: Grid, words: Vocabulary) -> bool:
    """Return whether a grid has the columns of a long table: setting and value."""
    headings = {folded(heading) for heading in grid.headings}
    return {"setting", "value"} <= headings and "setting" not in words.settings


class _Cells(Mapping[tuple[int, str], tuple[int, str]]):
    """Entry and setting → the row and column of its text."""

    def __init__(self, rows: dict[str, array[int]], letter: str) -> None:
        self._rows = rows
        """Setting → the row of each entry, 0 if it has none."""
        self._letter = letter

    def __getitem__(self, key: tuple[int, str]) -> tuple[int, str]:
        """Return row and column. Raises KeyError if the entry has no such setting."""
        entry, setting = key
        row = self._rows[setting][entry]
        if not row:
            raise KeyError(key)
        return row, self._letter

    def __iter__(self) -> Iterator[tuple[int, str]]:
        """Yield entry and setting of each text."""
        return ((entry, name) for name, rows in self._rows.items() for entry, row in enumerate(rows) if row)

    def __len__(self) -> int:
        """Return the number of texts."""
        return sum(1 for _ in self)


class _Rows(NamedTuple):
    """The rows of a long table, column by column."""

    numbers: Sequence[int]
    settings: Sequence[str]
    """The setting that each row is about, blank if it is to be ignored."""
    values: Sequence[str]
    entries: Sequence[int]
    """The entry that each row belongs to."""


def widened(grid: Grid, mapping: written.Mapping, words: Vocabulary) -> Table:
    """Return a long grid as a wide table: each value keeps the row and column in which it was written.

    Rows with the same identity, reader and time make one entry; a setting that occurs again starts
    another, so that both readings are kept. Raises InputProblems.
    """
    at = _positions(grid, mapping, words)
    about = _without(grid, at.values())
    names, problems = resolve(about, mapping, words, also=set(grid.columns[at["setting"]]))
    stop_if([*slips_in_parts(about, mapping, words)])
    about, names = with_composed_tag(about, names, mapping)
    settings = _settings(grid, at, mapping, words, problems)
    fields = {name: i for i, name in enumerate(names) if name}
    entries = _entries(about, fields, settings)
    rows = _Rows(grid.rows, settings, _with_units(grid, at, mapping), entries)
    problems += _nameless(about, rows, fields, mapping, words)
    stop_if(problems)
    first = {entry: k for k, entry in zip(range(len(entries) - 1, -1, -1), reversed(entries), strict=True)}
    first_rows = [first[entry] for entry in range(len(first))]
    texts = {name: [about.columns[i][k] for k in first_rows] for name, i in fields.items()}
    cells = _Cells(_spread(rows, texts), grid.letters[at["value"]])
    columns = {}
    for name, column in texts.items():
        i = fields.get(name)
        heading, letter = (name, "") if i is None else (about.headings[i], about.letters[i])
        style = style_of(heading, name, mapping, words)
        raw = RawColumn(column, letter, heading, style)
        columns[name] = hidden(translated(raw, name, words), name, mapping, words)
    return Table(grid.file, grid.sheet, [grid.rows[k] for k in first_rows], columns, cells, grid.line_of)


def _without(grid: Grid, positions: Iterable[int]) -> Grid:
    """Return a grid without some of its columns, with merged cells filled in."""
    left = [i for i in range(len(grid.headings)) if i not in set(positions)]
    headings, letters = [grid.headings[i] for i in left], [grid.letters[i] for i in left]
    return replace(grid, headings=headings, letters=letters, columns=[grid.filled(i) for i in left])


def _entries(about: Grid, fields: dict[str, int], settings: Sequence[str]) -> list[int]:
    """Return the entry that each row belongs to, counted from 0 in the order in which entries begin."""
    identity = [about.columns[i] for field, i in fields.items() if field != "note"]
    everyone = zip(*identity, strict=True) if identity else repeat((), len(settings))
    people: dict[tuple[str, ...], int] = {}
    turns: dict[tuple[int, str], int] = {}
    numbers: dict[tuple[int, int], int] = {}
    entries = []
    for who, setting in zip(everyone, settings, strict=True):
        person = people.setdefault(who, len(people))
        turn = turns.get((person, setting), 0) if setting else 0
        turns[person, setting] = turn + 1
        entries.append(numbers.setdefault((person, turn), len(numbers)))
    return entries


def _nameless(
    about: Grid, rows: _Rows, fields: Mapping[str, int], mapping: written.Mapping, words: Vocabulary
) -> Iterator[Problem]:
    """Yield one problem for all rows that have a value but do not say of which device.

    Their device would be a guess if other rows name theirs, or if a setting occurs again.
    """
    addresses = [name for name, setting in words.settings.items() if setting.role == "address"]
    naming = [fields[name] for name in (*NAMING, *addresses) if name in fields]
    columns = [about.columns[i] for i in naming]
    by_mapping = mapping.tag_from or any(words.field(name) in NAMING for name in mapping.constants)
    if by_mapping or any(all(map(str.strip, column)) for column in columns):
        return
    named = [any(column[k].strip() for column in columns) for k in range(len(rows.settings))]
    blanks = mapping.not_read
    nameless = [
        k for k, name in enumerate(named)
        if not name and rows.settings[k] and bare(rows.values[k]).casefold() not in blanks
    ]  # fmt: skip
    if nameless and (any(named) or len({rows.entries[k] for k in nameless}) > 1):
        first = nameless[0]
        more = f"; the same in {counted(len(nameless) - 1, 'more row')}" if len(nameless) > 1 else ""
        message = f"the row has a value of {rows.settings[first]} but names no device{more}"
        mend = "write the tag or serial number in every row; unmerge cells"
        letter, row = about.letters[naming[0]] if naming else "", about.rows[first]
        if about.line_of:
            mend = (
                "write the tag or serial number in every record, or name the key that has it under `columns`"
            )
            row = about.line_of(row, letter)
        yield about.problem(message, mend, row, letter)


def _spread(rows: _Rows, texts: dict[str, list[str]]) -> dict[str, array[int]]:
    """Add the columns of settings to `texts`, one text for each entry, and return the rows of these texts."""
    size = max(rows.entries, default=-1) + 1
    names = [name for name in dict.fromkeys(rows.settings) if name]
    for name in names:
        texts.setdefault(name, [""] * size)
    row_of = {name: array("q", bytes(8 * size)) for name in names}
    for row, setting, value, entry in zip(
        rows.numbers, rows.settings, rows.values, rows.entries, strict=True
    ):
        if setting:
            texts[setting][entry] = value
            row_of[setting][entry] = row
    return row_of


def _with_units(grid: Grid, at: dict[str, int], mapping: written.Mapping) -> Sequence[str]:
    """Return the texts of the values, each with the unit beside it, if there is one."""
    values = grid.shown(at["value"])
    if "unit" not in at:
        return values
    blanks = mapping.not_read
    beside = zip(map(bare, values), map(bare, grid.columns[at["unit"]]), strict=True)
    return [value if blanks & {value.casefold(), unit.casefold()} else f"{value} {unit}"
            for value, unit in beside]  # fmt: skip


def _positions(grid: Grid, mapping: written.Mapping, words: Vocabulary) -> dict[str, int]:
    """Return the positions of the columns for setting, value and unit."""
    headings = [folded(heading) for heading in grid.headings]
    at: dict[str, int] = {}
    problems = []
    known = to_name(grid.headings, words.secrets)
    wanted = {"setting": mapping.long.setting, "value": mapping.long.value, "unit": mapping.long.unit}
    for part, heading in wanted.items():
        if folded(heading) in headings:
            at[part] = headings.index(folded(heading))
        elif part != "unit" or heading:
            message = f"has no column {heading!r}, which a long table needs"
            mend = f"{nearest(heading, known)}; name it under `long` in a mapping"
            problems.append(grid.problem(message, mend, grid.heading_row))
    if not at and any(words.headed(bare(heading)) in words.settings for heading in grid.headings):
        problems = [rows_are_devices(grid, "long")]
    stop_if(problems)
    if "unit" not in at and "unit" in headings:
        at["unit"] = headings.index("unit")
    return at


def _settings(
    grid: Grid,
    positions: dict[str, int],
    mapping: written.Mapping,
    words: Vocabulary,
    problems: list[Problem],
) -> list[str]:
    """Return the setting that each row is about, blank if it is to be ignored."""
    at, value_at = positions["setting"], positions["value"]
    meaning: dict[str, str] = {}
    found = []
    for k, text in enumerate(grid.columns[at]):
        if text not in meaning:
            word = bare(text)
            key = key_for(word, mapping.columns, mapping)
            name = words.field(word if key is None else mapping.columns[key])
            name = None if name in FIELDS else name
            ignored = is_ignored(word, mapping) or (name is None and "*" in mapping.ignore)
            meaning[text] = "" if ignored else name or ""
            if name is None and not ignored:
                exchanged = words.field(grid.columns[value_at][k]) in words.secrets
                shown = HIDDEN_QUOTE if exchanged else quoted(word, words.secrets)
                message = f"unknown setting {shown}" if word else "the row names no setting"
                mend, row = nearest(word, words.settings), grid.row(k, at)
                if sharing := words.shared.get(folded(word)):
                    message = f"the setting {shown} may be {' or '.join(sharing)}"
                    mend = "write the name of one of them"
                mend = mend if word else f"name it; {mend}"
                problems.append(grid.problem(message, mend, row, grid.letters[at]))
        found.append(meaning[text])
    return found
