"""Tables: a grid's columns named as fields and settings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import PurePath

from audit.errors import InputProblems, Problem, stop, stop_if
from audit.model.mapping import Mapping
from audit.model.table import RawColumn, Style, Table
from audit.reading.composed_tags import slips_in_parts, with_composed_tag
from audit.reading.files import composed
from audit.reading.grid import Grid
from audit.reading.heard import with_seconds_heard
from audit.reading.identifiers import bare
from audit.reading.ignored_units import ignored_units, unread_units
from audit.reading.labelled_cells import slips_in_labelled, with_labelled
from audit.reading.mapped_names import among
from audit.reading.mapping_told import ignored
from audit.reading.mappings import place_in, problem_in, whereabouts, written_in
from audit.reading.only_rows import only_kept, slips_in_only
from audit.reading.own_sheets import only_filled_in, with_declared_mark
from audit.reading.pivot import is_long, widened
from audit.reading.quoting import HIDDEN_QUOTE, quoted
from audit.reading.raw_columns import hidden, raw_column, style_of, translated
from audit.reading.resolving import resolve
from audit.reading.shared_cells import not_for_long, slips_in_shared_cells, taken_apart
from audit.reading.times import with_iso_times, without_times_of_remarks
from audit.reading.turned import turned_table
from audit.reading.units_row import with_units_of_row
from audit.reading.vocabulary import Vocabulary, folded


def to_table(grid: Grid, mapping: Mapping, words: Vocabulary) -> Table:
    """Return a grid as a table of known fields, with times in ISO form and last-heard times in seconds.

    Raises InputProblems with everything that is unknown.
    """
    upright = grid.turned() if mapping.form == "across" else grid  # its headings name settings
    mapping = among((*grid.headings, *upright.headings), mapping)
    table = without_times_of_remarks(with_iso_times(_table(grid, mapping, words), words, mapping.dates))
    codes = table.left_out.codes or any(words.field(text) in words.secrets for text in grid.outside)
    of_units = () if _is_long(grid, mapping, words) else ignored_units(upright, mapping, words)
    if of_units and mapping.form == "wide":
        stop_if([*unread_units(grid, table, mapping, words)])
    columns = ignored(_names(upright, mapping), mapping, words)
    left_out = table.left_out._replace(codes=codes, columns=columns, units=of_units)
    table = with_seconds_heard(table, words, mapping.dates)
    return replace(table, mapping=whereabouts(mapping), left_out=left_out)


def _names(grid: Grid, mapping: Mapping) -> Iterable[str]:
    """Return what an upright grid names its columns of readings by, as far as there is anything in them."""
    filled = [h for h, column in zip(grid.headings, grid.columns, strict=True) if any(map(str.strip, column))]
    setting = folded(mapping.long.setting)
    long = [column for h, column in zip(grid.headings, grid.columns, strict=True) if folded(h) == setting]
    return [*filled, *(text for column in long for text in dict.fromkeys(column))]


def _is_long(grid: Grid, mapping: Mapping, words: Vocabulary) -> bool:
    return mapping.form == "long" or is_long(grid, words)


def _table(grid: Grid, mapping: Mapping, words: Vocabulary) -> Table:
    if mapping.form == "across":
        return _with_constants(turned_table(grid, mapping, words), mapping, words)
    if _is_long(grid, mapping, words):
        stop_if([*slips_in_only(grid, mapping, words), *not_for_long(grid, mapping)])
        grid, left_out = only_kept(grid, mapping, words)
        mapping = with_declared_mark(grid, mapping, words)
        table = widened(grid, mapping, words)
        return _with_constants(replace(table, left_out=left_out), mapping, words)
    names, problems = resolve(grid, mapping, words)
    problems += slips_in_only(grid, mapping, words)
    problems += slips_in_parts(grid, mapping, words)
    problems += slips_in_labelled(grid, names, mapping, words)
    stop_if([*problems, *slips_in_shared_cells(grid, names, mapping, words)])
    grid, names = with_composed_tag(grid, names, mapping)
    grid, names = with_labelled(grid, names, mapping, words)
    grid, names = taken_apart(grid, names, mapping, words)
    grid, mapping = with_units_of_row(grid, names, mapping, words)
    grid, left_out = only_kept(grid, mapping, words)
    mapping = with_declared_mark(grid, mapping, words)
    columns = {name: raw_column(grid, i, name, mapping, words) for i, name in enumerate(names) if name}
    table = Table(grid.file, grid.sheet, grid.rows, columns, line_of=grid.line_of, left_out=left_out)
    return _with_constants(only_filled_in(table), mapping, words)


def _with_constants(table: Table, mapping: Mapping, words: Vocabulary) -> Table:
    """Return a table with the mapping's constants, where rows do not all say the same themselves.

    Raises InputProblems if a row says otherwise.
    """
    columns = dict(table.columns)
    if mapping.tag_from and "tag" not in columns:
        columns["tag"] = _tag_in_name(table, mapping, words)
    for field, value in mapping.constants.items():
        text = written_in(mapping, ("constants", field), value)
        name = words.field(field) or field
        stop_if(_says_otherwise(table, name, text, words))
        own = table.columns.get(name)
        blank = sum(map(own.style.is_blank, own.texts)) if own else len(table.rows)
        if own and not blank:
            continue
        place = place_in(mapping, ("constants", field), text)
        style = Style(unit=own.style.unit if own else style_of("", name, mapping, words).unit)
        constant = RawColumn([text] * len(table.rows), "", field, style, fixed=place, supplied=blank)
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
    text = composed(table.sheet if mapping.tag_from == "sheet" else PurePath(table.file).stem)
    if not text:
        message = f"{table.file} has no sheets, so that none gives the tag"
        raise InputProblems([problem_in(mapping, ("tag_from",), message, "state `tag_from: file`")])
    style = style_of("", "tag", mapping, words)
    place = place_in(mapping, ("tag_from",), text)
    return translated(RawColumn([text] * len(table.rows), "", "tag", style, fixed=place), "tag", words)


def need_identity(table: Table, fields: Sequence[str]) -> None:
    """Raise InputProblems if no column says which device a row is about."""
    if not any(name in table.columns for name in fields):
        mend = f"add a column headed {' or '.join(fields)}, or name one under `columns` in a mapping"
        raise stop("no column says which device a row is about", mend, file=table.file, sheet=table.sheet)
