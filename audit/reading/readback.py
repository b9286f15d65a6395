"""Readback files, alone or in a folder, as tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from audit.endings import ENTRIES, PERHAPS_TABLES, RECORDS, TABLES, WORKBOOKS, holds_entries
from audit.errors import InputProblems, Problem, stop
from audit.model.mapping import Mapping, MappingFile
from audit.model.table import Table
from audit.phrases import IF_RENAMED, counted
from audit.reading import mapping_told
from audit.reading.csv_grid import read_csv
from audit.reading.entries import read_entries
from audit.reading.entry_gaps import gaps
from audit.reading.entry_table import entry_table, left_out
from audit.reading.files import FileBytes, read_bytes
from audit.reading.gateway_lists import with_list_headings
from audit.reading.grid import Grid
from audit.reading.headings import NAMING, headings_below, is_readback, no_heading_row, settings_at_left
from audit.reading.inputs import Inputs
from audit.reading.json_lines import are_entries
from audit.reading.mappings import mapping_for, problem_in, read_mappings, withhold_codes
from audit.reading.only_rows import told
from audit.reading.own_files import refuse_list
from audit.reading.own_sheets import MARK
from audit.reading.quoting import quoted
from audit.reading.readback_files import any_unmapped, files_of, unread_mapping, unused
from audit.reading.record_grid import read_records
from audit.reading.sheet_grid import read_sheets
from audit.reading.stacked import tables_in
from audit.reading.struck_out import tell_struck_out
from audit.reading.tables import need_identity, to_table
from audit.reading.trials import without_codes
from audit.reading.values import DITTO
from audit.reading.vocabulary import Vocabulary

GATEWAY_LIST = "gateway list"
"""What the list of inputs calls a file given with `--gateway-list`."""
NODE_TABLE = "node table"
"""What the list of inputs calls a node table of the plan, which is never JSON Lines."""


def read_tables(
    path: Path, maps: MappingFile | None, words: Vocabulary, inputs: Inputs, kind: str
) -> list[Table]:
    """Return the tables of one file. Raises InputProblems."""
    file = read_bytes(path)
    inputs.add(file, kind)
    withhold_codes(maps, words, inputs)
    if kind == "readback" and are_entries(file):
        return [_entries(file, words, inputs)]
    mapping = mapping_for(path, maps)
    tables = _tables(file, mapping, words, inputs, kind)
    if any(words.field(heading) in words.secrets for heading in mapping.ignore):
        inputs.withhold(file.name, "may carry access codes in columns that its mapping ignores")
    for table in tables:
        if table.left_out.codes:
            inputs.withhold(file.name, "may carry access codes in what was not read of it")
        for column in table.columns.values():
            if column.codes:
                inputs.withhold(column.fixed.file if column.fixed else table.file)
    kept = _kept(tables, mapping, file.name, inputs)
    for sentence in mapping_told.told(kept, mapping, words):
        inputs.tell(file.name, sentence)
    tell_struck_out(file, kept, inputs)
    return kept


def _kept(tables: list[Table], mapping: Mapping, name: str, inputs: Inputs) -> list[Table]:
    """Return the tables of which `only` keeps rows, and note what it leaves out. Raises InputProblems."""
    word = "column" if mapping.form == "across" else "record" if any(one.line_of for one in tables) else "row"
    left_out = told((table.left_out for table in tables), word, mapping)
    if not left_out:
        return tables
    kept = [table for table in tables if table.rows or not table.left_out.texts]
    if not kept:
        steps = ("only", *mapping.only)[:2] if mapping.only else ("leave_out", *mapping.leave_out)[:2]
        message = f"nothing is left of {name}: {left_out}"
        mend = "correct it, or leave it out; if none of this file is to be read yet, take it away"
        raise InputProblems([problem_in(mapping, steps, message, mend)])
    inputs.tell(name, left_out)
    return kept


def _entries(file: FileBytes, words: Vocabulary, inputs: Inputs) -> Table:
    """Return what was entered by hand, which needs no mapping; what is left out becomes warnings."""
    if not file.data.strip():
        raise stop("is empty: nothing was entered", "enter readings, or remove the file", file=file.name)
    entries = read_entries(file, words)
    inputs.warn(entries.warnings)
    inputs.left_out |= left_out(entries, words.secrets)
    inputs.entered.append(entries)
    return entry_table(entries)


def _tables(file: FileBytes, mapping: Mapping, words: Vocabulary, inputs: Inputs, kind: str) -> list[Table]:
    path = file.path
    suffix, texts = path.suffix.lower(), (*TABLES, *PERHAPS_TABLES)
    if suffix in WORKBOOKS:
        return _sheet_tables(file, mapping, words, inputs, kind)
    if suffix in RECORDS or (holds_entries(path.name) and kind != NODE_TABLE):
        return [_table(read_records(file, mapping), mapping, words, kind)]
    if suffix in texts:
        return _stacked([read_csv(file, mapping)], mapping, words, kind)
    known = ", ".join((*texts, *WORKBOOKS, *RECORDS, *([ENTRIES] if kind != NODE_TABLE else [])))
    form = "if it is a form, give the file that it exports; otherwise " if suffix in (".html", ".htm") else ""
    message = f"is a kind of file that is not read ({suffix or 'no ending'})"
    raise stop(message, f"{form}save it as one of {known}", file=file.name)


def _table(grid: Grid, mapping: Mapping, words: Vocabulary, kind: str) -> Table:
    """Return a grid as a table, which must have rows unless these are left out, as those not filled in are.

    A gateway's list without rows says that the gateway hears no node.
    """
    table = to_table(grid, mapping, words)
    filtered = table.left_out.texts or (grid.rows and MARK in table.columns)
    if not table.rows and not filtered and kind != GATEWAY_LIST:
        mend = "fill it in, or take it away if it is a template"
        raise stop("has no rows below its heading row", mend, file=table.file)
    return table


def _stacked(grids: Sequence[Grid], mapping: Mapping, words: Vocabulary, kind: str) -> list[Table]:
    """Return the tables of these grids: usually one each."""
    refuse_list(grids)
    return [_table(part, mapping, words, kind) for grid in grids for part in tables_in(grid, mapping, words)]


def _sheet_tables(
    file: FileBytes, mapping: Mapping, words: Vocabulary, inputs: Inputs, kind: str
) -> list[Table]:
    """Return a table for each sheet; of several sheets, those that are not tables are skipped and noted."""
    sheets = read_sheets(file, mapping, words)
    grids = [grid for grid in sheets if not grid.hidden]
    unseen = [grid for grid in sheets if grid.hidden and _may_be_readback(grid, mapping, words)]
    for grid in unseen:
        _pass_over_hidden(grid, inputs)
    if len(grids) == 1 and not unseen:
        return _stacked(grids, mapping, words, kind)
    readbacks = [grid for grid in grids if is_readback(grid, mapping, words)]
    below = [grid for grid in grids if headings_below(grid, mapping, words) is not None]
    if below:
        raise InputProblems(no_heading_row(grid, mapping, words, bool(readbacks)) for grid in below)
    if not readbacks:
        raise _no_readback(file.name, grids, unseen, mapping, words)
    for grid in grids:
        if grid not in readbacks and len(grid.headings) > 1:  # one column is a page of text
            why = f"no heading in row {grid.heading_row} says which device a row is about"
            if mapping.form == "across":
                why = "few of the texts at its left are known"
            inputs.passed_over(f"{file.name} [{grid.sheet}]", why)
    return _stacked(readbacks, mapping, words, kind)


def _no_readback(
    name: str, grids: Sequence[Grid], unseen: Sequence[Grid], mapping: Mapping, words: Vocabulary
) -> InputProblems:
    """Return the problem with a workbook of which no sheet is a readback; `unseen` are hidden ones."""
    mend = f"unhide the sheet {unseen[0].sheet!r}, or " if unseen else ""
    mend += "state the sheet in a mapping"
    if across := next((grid for grid in grids if settings_at_left(grid, mapping, words)), None):
        mend = f"{across.sheet!r} lists settings one below the other: state `form: across` in a mapping"
        mend += ", and `tag_from: sheet` if sheets are named for the devices"
    names = ", ".join(repr(grid.sheet) for grid in grids)
    return stop(f"none of its sheets ({names}) has a column tag or serial", mend, file=name)


def _may_be_readback(grid: Grid, mapping: Mapping, words: Vocabulary) -> bool:
    return is_readback(grid, mapping, words) or headings_below(grid, mapping, words) is not None


def _pass_over_hidden(grid: Grid, inputs: Inputs) -> None:
    """Note a hidden sheet, and warn: it may have newer readings, and nobody sees it in the workbook."""
    name = f"{grid.file} [{grid.sheet}]"
    size = f"it has {counted(len(grid.rows), 'row')}"
    inputs.passed_over(name, f"a hidden sheet; {size}")
    mend = "unhide it if these are readings, otherwise delete it"
    inputs.warn([Problem(f"is a hidden sheet and was not read; {size}", mend, name)])


def read_readback(
    paths: Sequence[Path], mapping: Path | None, words: Vocabulary, sites: Sequence[str], inputs: Inputs,
    kind: str = "readback", others: Sequence[Path] = (),
) -> list[Table]:  # fmt: skip
    """Return the tables of all readback files. Raises InputProblems for all of them together.

    `sites` are the names of the plan's site, the present one first; a readback of any other site is refused.
    `kind` is what the list of inputs calls them; `others` are further files that the mapping may be for.
    """
    maps = read_mappings(mapping, inputs) if mapping else None
    words = with_list_headings(words)
    fields = ("tag", "serial", *(name for name, one in words.settings.items() if one.role == "address"))
    gateways = (name for name, one in words.settings.items() if one.role == "joined_gateway")
    whose = ("tag", "serial", "network", *gateways)
    tables: list[Table] = []
    problems: list[Problem] = []
    files = files_of(paths, maps, words, inputs, problems)
    for path, its_maps in files:
        before = len(problems)
        try:
            for read in read_tables(path, its_maps, words, inputs, kind):
                table = without_codes(read, words)
                need_identity(table, fields)
                inputs.warn(_named_by_address(table) if kind == "readback" else [])
                problems.extend(_other_site(table, sites))
                problems.extend(_ditto_marks(table, whose))
                tables.append(table)
        except InputProblems as found:
            problems.extend(found.problems)
        problems[before:before] = unread_mapping(path, problems[before:], its_maps)
    if problems:
        raise InputProblems([*unused(files, others), *problems])
    for name, missing in gaps(inputs.entered).items() if kind == "readback" else ():
        inputs.tell(name, f"readings missing by their numbers: {missing}")
    inputs.tell_copies(kind)
    if kind != GATEWAY_LIST and any_unmapped(files):  # a mapping given for lists may be for a readback
        inputs.warn(unused(files, others))
    return tables


def _named_by_address(table: Table) -> list[Problem]:
    """Return a problem for a reading of one device that only its address names: that may be mis-keyed."""
    if len(table.rows) != 1 or not table.columns.keys().isdisjoint(NAMING):
        return []
    name = "sheet" if table.sheet else "file"
    message = "nothing but the address says which device was read, and that may be mis-keyed"
    mend = f"add its tag; or, if the {name} is named for it, state `tag_from: {name}` in a mapping"
    return [Problem(message, mend, table.file, table.sheet)]


def _other_site(table: Table, names: Sequence[str]) -> list[Problem]:
    """Return a problem for the first row that names a site other than the plan's, which has these names."""
    known = {"", *map(str.casefold, names)}
    for entry, text in enumerate(table.texts("site")):
        if text.strip().casefold() not in known:
            place, given = table.place(entry, "site"), quoted(text.strip())
            message = f"is a readback of the site {given}, but the plan is for {quoted(names[0])}"
            return [place.problem(message, f"give the readback of this site{IF_RENAMED}")]
    return []


def _ditto_marks(table: Table, fields: Sequence[str]) -> Iterator[Problem]:
    """Yield a problem for each column of names that has ditto marks: such a row names no device."""
    for name in fields:
        entries = [e for e, text in enumerate(table.texts(name)) if text.strip() in DITTO]
        if entries:
            place = table.place(entries[0], name)
            more = f", here and in {counted(len(entries) - 1, 'more row')}" if len(entries) > 1 else ""
            message = f"{quoted(place.raw.strip())} is a ditto mark, not a name{more}"
            yield place.problem(message, f"write the {place.heading or name} in every row")
