"""Tables: a grid's columns named as fields and settings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import PurePath

from audit.errors import InputProblems, Problem, known_words, near, nearest, stop, stop_if
from audit.model.mapping import Mapping
from audit.model.table import RawColumn, Table
from audit.phrases import listed
from audit.reading.grid import Grid
from audit.reading.headings import (
    IGNORED,
    devices_as_columns,
    heading_field,
    headings_in_two_rows,
    no_heading_row,
)
from audit.reading.heard import with_seconds_heard
from audit.reading.identifiers import bare
from audit.reading.mapping_told import ignored
from audit.reading.mappings import place_in, problem_in, whereabouts, written_in
from audit.reading.only_rows import only_kept, slips_in_only
from audit.reading.own_sheets import only_filled_in, with_declared_mark
from audit.reading.pivot import is_long, widened
from audit.reading.quoting import HIDDEN_QUOTE, cut, holds_code, quoted, quoted_name, to_name
from audit.reading.raw_columns import hidden, raw_column, style_of, translated
from audit.reading.times import with_iso_times, without_times_of_remarks
from audit.reading.turned import turned_table
from audit.reading.units_row import with_units_of_row
from audit.reading.vocabulary import Vocabulary, folded, heading_and_unit

NAME_IT = "name it under `columns` or `ignore` in a mapping"
OTHER_FILE = "check whether `files`, `sheet`, `skip_rows`, `delimiter` and `encoding` are right"
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


def to_table(grid: Grid, mapping: Mapping, words: Vocabulary) -> Table:
    """Return a grid as a table of known fields, with times in ISO form and last-heard times in seconds.

    Raises InputProblems with everything that is unknown.
    """
    table = without_times_of_remarks(with_iso_times(_table(grid, mapping, words), words, mapping.dates))
    left_out = table.left_out
    if any(words.field(text) in words.secrets for text in grid.outside):
        left_out = left_out._replace(codes=True)
    left_out = left_out._replace(columns=ignored(_names(grid, mapping), mapping, words))
    table = with_seconds_heard(table, words, mapping.dates)
    return replace(table, mapping=whereabouts(mapping), left_out=left_out)


def _names(grid: Grid, mapping: Mapping) -> Iterable[str]:
    """Return what a grid names its columns of readings by, as far as there is anything in them."""
    if mapping.form == "across":
        grid = grid.turned()
    filled = [h for h, column in zip(grid.headings, grid.columns, strict=True) if any(map(str.strip, column))]
    setting = folded(mapping.long.setting)
    long = [column for h, column in zip(grid.headings, grid.columns, strict=True) if folded(h) == setting]
    return [*filled, *(text for column in long for text in dict.fromkeys(column))]


def _table(grid: Grid, mapping: Mapping, words: Vocabulary) -> Table:
    if mapping.form == "across":
        return _with_constants(turned_table(grid, mapping, words), mapping, words)
    if mapping.form == "long" or is_long(grid, words):
        stop_if(slips_in_only(grid, mapping, words))
        grid, left_out = only_kept(grid, mapping, words)
        mapping = with_declared_mark(grid, mapping, words)
        table = widened(grid, mapping, words)
        return _with_constants(replace(table, left_out=left_out), mapping, words)
    names, problems = resolve(grid, mapping, words)
    stop_if([*problems, *slips_in_only(grid, mapping, words)])
    grid, mapping = with_units_of_row(grid, names, mapping, words)
    grid, left_out = only_kept(grid, mapping, words)
    mapping = with_declared_mark(grid, mapping, words)
    columns = {name: raw_column(grid, i, name, mapping, words) for i, name in enumerate(names) if name}
    table = Table(grid.file, grid.sheet, grid.rows, columns, line_of=grid.line_of, left_out=left_out)
    return _with_constants(only_filled_in(table), mapping, words)


def resolve(
    grid: Grid, mapping: Mapping, words: Vocabulary, also: Iterable[str] = ()
) -> tuple[list[str], list[Problem]]:
    """Return the field of each heading (IGNORED for none), and what is wrong with the headings.

    `also` are texts that the mapping may rename like headings: the settings of a long table.
    """
    names: list[str] = []
    problems: list[Problem] = []
    unknown: list[int] = []
    alike = Counter(map(bare, grid.headings))
    for i, (heading, column) in enumerate(zip(grid.headings, grid.columns, strict=True)):
        letter = grid.letters[i]
        name = heading_field(heading, mapping, words)
        if name is None and not heading.strip() and not any(map(str.strip, column)):
            name = IGNORED  # as a delimiter at the end of every line makes
        if name is None:
            unknown.append(i)
            problems.append(_unknown_column(grid, i, alike[bare(heading)], words))
        elif name and name in names:
            first = grid.headings[names.index(name)]
            message = f"the columns {quoted(first)} and {quoted(heading)} both mean {name!r}"
            mend = "ignore one of them in a mapping" if bare(first) != bare(heading) else OWN_HEADING
            problems.append(Problem(message, mend, grid.file, grid.sheet, grid.heading_row, letter))
        names.append(name or IGNORED)
    if turned := devices_as_columns(grid, names, mapping, words):
        return names, [turned]
    if problems and (two := headings_in_two_rows(grid, mapping, words)):
        return names, [two]
    if len(problems) > 1 and not any(names):
        problems = [no_heading_row(grid, mapping, words)]
    elif not mapping.columns and len(problems) == len(unknown) >= max(
        MANY_UNKNOWN, 2 * sum(map(bool, names))
    ):
        problems = [_mapping_forgotten(grid, unknown, words)]
    problems = _with_known(problems, words)
    problems += _slips_in_mapping(grid, mapping, words, also, headed=any(names))
    return names, problems


def _slips_in_mapping(
    grid: Grid, mapping: Mapping, words: Vocabulary, also: Iterable[str], *, headed: bool
) -> list[Problem]:
    """Return problems for what a mapping names but is not there: fields, settings and headings.

    If no heading is known (not `headed`), the row may contain readings, which are not shown.
    """
    named = [(("columns", key), f"column {quoted(key)} is mapped to", field)
             for key, field in mapping.columns.items()]  # fmt: skip
    for part in ("constants", "units", "values"):
        named += [((part, field), f"`{part}` names", field) for field in getattr(mapping, part)]
    problems = [
        problem_in(mapping, steps, f"{says} {quoted(field)}, which is neither a field nor a setting",
                   nearest(field, words.known()))
        for steps, says, field in named if words.field(field) is None
    ]  # fmt: skip
    there = {bare(text) for text in (*grid.headings, *also)}
    missing = [heading for heading in mapping.columns if bare(heading) not in there]
    known = to_name(grid.headings, words.secrets)
    if missing and len(missing) == len(mapping.columns) and not headed:
        first = listed([quoted(heading, words.secrets) for heading in missing], MOST_HEADINGS)
        of_many = f"none of the {len(missing)} columns that the mapping names: {first}"
        message = f"{grid.file} has {of_many if missing[1:] else f'no column {first}'}"
        mend = f"{nearest(missing[0], known)}; or {OTHER_FILE}" if near(missing[0], known) else OTHER_FILE
        return [*problems, problem_in(mapping, ("columns", missing[0]), message, mend)]
    for heading in missing:
        message = f"{grid.file} has no column {quoted(heading, words.secrets)}"
        problems.append(problem_in(mapping, ("columns", heading), message, nearest(heading, known)))
    return problems


def _with_known(problems: list[Problem], words: Vocabulary) -> list[Problem]:
    """Return the problems, with the known names added to the last heading that resembles none of them."""
    unlike = [i for i, problem in enumerate(problems) if problem.mend == NAME_IT]
    for i in unlike[-1:]:
        problems[i] = replace(problems[i], mend=f"{NAME_IT}; {_known(words)}")
    return problems


def _known(words: Vocabulary) -> str:
    return known_words(list(dict.fromkeys(["tag", "serial", *words.settings, *words.known()])), MOST_KNOWN)


def _mapping_forgotten(grid: Grid, unknown: Sequence[int], words: Vocabulary) -> Problem:
    """Return one problem for a table of which hardly any columns are known, or named in a mapping."""
    headings = [text for i in unknown if (text := grid.headings[i].strip())]
    shown = dict.fromkeys(quoted_name(text, words.secrets) for text in headings)
    first = listed([*shown], MOST_HEADINGS)
    message = (
        f"{len(unknown)} of {len(grid.headings)} columns are unknown, and no mapping names them: {first}"
    )
    letter = grid.letters[unknown[0]]
    place = "" if holds_code(letter, words.secrets) else cut(letter)
    mend = f"{NAME_THEM}; {_known(words)}"
    if len(set(headings)) < len(headings):
        mend = f"where several have the same heading, {OWN_HEADING}; otherwise {mend}"
    return Problem(message, mend, grid.file, grid.sheet, grid.row_of_heading(letter), place)


def _unknown_column(grid: Grid, i: int, alike: int, words: Vocabulary) -> Problem:
    """Return the problem with the heading of a column; `alike` columns have it."""
    heading, letter, column = grid.headings[i], grid.letters[i], grid.columns[i]
    filled = (row for row, text in zip(grid.rows, column, strict=True) if text.strip())
    message = f"a column has no heading; its first text is in row {next(filled, 0)}"
    mend = 'give it a heading; or state `ignore: [""]` in a mapping to leave out columns without one'
    if folded(heading) == "setting":
        message = "there is a column 'setting' but no column 'value'"
        mend = "add the column of the values, headed value; or name it under `long` in a mapping"
    elif heading.strip():
        shown = quoted_name(heading.strip(), words.secrets)
        message = f"unknown column {shown}"
        name = heading_and_unit(bare(heading))[0]
        close = near(name, words.known())
        hint = f"nearest: {', '.join(close)}; or " if close else ""
        if sharing := words.shared.get(folded(bare(heading))) or words.shared.get(folded(name)):
            message = f"the column {quoted(heading.strip())} may be {' or '.join(sharing)}"
            hint = "use the name of one of them as heading; or "
        if folded(name) in FOR_TAGS and "tag" not in map(words.field, map(bare, grid.headings)):
            hint = "if it holds the tags, use tag as heading; or "
        if len(grid.headings) == 1:
            hint += "if it is a title, state in a mapping how many rows to skip (`skip_rows`); or "
        mend = hint + NAME_IT
        if alike > 1:
            message = f"{alike} columns have the unknown heading {shown}"
            mend = OWN_HEADING
    row = grid.row_of_heading(letter)
    return Problem(
        message, mend, grid.file, grid.sheet, row, "" if holds_code(letter, words.secrets) else cut(letter)
    )


def _with_constants(table: Table, mapping: Mapping, words: Vocabulary) -> Table:
    """Return a table with the mapping's constants. Raises InputProblems if a row says otherwise."""
    columns = dict(table.columns)
    if mapping.tag_from and "tag" not in columns:
        columns["tag"] = _tag_in_name(table, mapping, words)
    for field, value in mapping.constants.items():
        text = written_in(mapping, ("constants", field), value)
        name = words.field(field) or field
        stop_if(_says_otherwise(table, name, text, words))
        place = place_in(mapping, ("constants", field), text)
        constant = RawColumn([text] * len(table.rows), "", field, fixed=place)
        columns[name] = hidden(constant, name, mapping, words)
    return replace(table, columns=columns)


def _says_otherwise(table: Table, name: str, constant: str, words: Vocabulary) -> list[Problem]:
    """Return a problem for the first row with another text than the constant: a reading would be lost."""
    column = table.columns.get(name)
    distinct = set(column.texts) if column else set()
    other = {text for text in distinct if bare(text) != bare(constant)}
    if not column or all(map(column.style.is_blank, other)):
        return []
    is_other = (text in other and not column.style.is_blank(text) for text in column.texts)
    place = table.place(list(is_other).index(True), name)
    shown = HIDDEN_QUOTE if name in words.secrets else quoted(place.raw.strip())
    message = f"says {shown}, but the mapping gives a {name} for the whole file, under `constants`"
    return [place.problem(message, "leave the constant out; or, if it is right, ignore the column")]


def _tag_in_name(table: Table, mapping: Mapping, words: Vocabulary) -> RawColumn:
    """Return the tag that the name of the file or of the sheet gives, as a column."""
    text = table.sheet if mapping.tag_from == "sheet" else PurePath(table.file).stem
    if not text:
        message = f"{table.file} has no sheets, so that none gives the tag"
        raise InputProblems([problem_in(mapping, ("tag_from",), message, "state `tag_from: file`")])
    style = style_of("", "tag", mapping, words)
    place = place_in(mapping, ("tag_from",), text)
    return translated(RawColumn([text] * len(table.rows), "", "tag", style, fixed=place), "tag", words)


def need_identity(table: Table, fields: Sequence[str] = ("tag", "serial")) -> None:
    """Raise InputProblems if no column says which device a row is about."""
    if not any(name in table.columns for name in fields):
        mend = f"add a column headed {' or '.join(fields)}, or name one under `columns` in a mapping"
        raise stop("no column says which device a row is about", mend, file=table.file, sheet=table.sheet)
