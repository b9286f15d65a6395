"""JSON and YAML readbacks as grids: one record for each device, nested keys joined with points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from audit.errors import InputProblems, Problem, stop, stop_if
from audit.model.mapping import Mapping
from audit.model.readback import FIELDS, ReadbackFile
from audit.reading.csv_grid import LONGEST_CELL, MOST_COLUMNS
from audit.reading.documents import KINDS, build, read_document, with_marks
from audit.reading.files import FileBytes
from audit.reading.grid import Grid
from audit.reading.json_lines import in_lines, read_lines
from audit.reading.mapped_names import is_ignored
from audit.reading.marks import Document, Path
from audit.reading.nested_records import goes_through, leading_to, nested_records, on_the_way, texts_outside
from audit.reading.own_files import KEEP_APART, wrong_kind
from audit.reading.quoting import cut, holds_code, quoted, shown
from audit.reading.record_lines import LineOf, flat, line_of
from audit.reading.records import are_keyed, is_device, not_in, records_in, stated_above, with_tags

Slip = tuple[int, str, str, str]
"""The number of a record, the name of a value in it, what is wrong, and how to correct it."""


def read_records(file: FileBytes, mapping: Mapping) -> Grid:
    """Return the grid of a JSON, JSON Lines or YAML file. Raises InputProblems."""
    if in_lines(file):
        return _grid_of_lines(file, mapping)
    document = read_document(file)
    if isinstance(document.data, dict) and "asfound" in document.data:
        build(document, ReadbackFile, "readback")
        return _own_form(with_marks(document))
    if isinstance(document.data, dict) and str(document.data.get("schema")).startswith("asfound/"):
        kind = str(document.data["schema"]).split("/")[1]
        raise wrong_kind(KINDS.get(kind, kind), "readback", file.name, KEEP_APART)
    stop_if(document.twice)
    if goes_through(mapping.records):
        return _nested_grid(document, mapping)
    return _grid_of_document(document, mapping)


def _grid_of_lines(file: FileBytes, mapping: Mapping) -> Grid:
    """Return the grid of a file of JSON Lines."""
    numbers, objects = read_lines(file)
    document = Document(file.name, objects)
    if goes_through(mapping.records):
        return _nested_grid(document, mapping, numbers)
    steps: list[Path] = [(i,) for i in range(len(objects))]
    return _grid(document, steps, objects, _in_lines(numbers, steps), mapping)


def _grid_of_document(document: Document, mapping: Mapping) -> Grid:
    """Return the grid of the records in a JSON or YAML file, wherever in it they are."""
    try:
        path, records = records_in(document.data, mapping)
    except KeyError:
        message = f"has nothing at {quoted(mapping.records)}"
        raise stop(message, _led_astray(mapping), file=document.file) from None
    steps: list[Path]
    if are_keyed(records, mapping):
        steps, devices = [(*path, key) for key in records], with_tags(records, mapping)
    elif is_device(records, mapping):
        steps, devices = [path], [records]
    elif records == []:
        raise stop("its list of records is empty", "check that the export has readings", file=document.file)
    elif isinstance(records, list):
        steps, devices = [(*path, i) for i in range(len(records))], records
    else:
        message = f"has no list of records at {quoted(mapping.records) if mapping.records else 'its top'}"
        mend = "state where it is with `records` in a mapping; a step `*` goes through all items or keys"
        raise stop(message, _led_astray(mapping, mend), file=document.file)
    grid = _grid_below(document, steps, devices, mapping, stated_above(document.data, path, mapping))
    return replace(grid, outside=frozenset(texts_outside(document.data, {path})))


def _led_astray(mapping: Mapping, mend: str = "correct `records` in the mapping") -> str:
    """Return what to do where `records` leads to no records."""
    if mapping.records and not mapping.records.startswith("/"):
        shown_so = "" if holds_code(mapping.records) else f": `records: /{cut(mapping.records)}`"
        return f"begin it with a slash{shown_so}"
    return mend


def _in_lines(numbers: Sequence[int], steps: Sequence[Path]) -> LineOf:
    """Return the lines of the records of JSON Lines, given those of what the file lists."""
    return lambda number, _: numbers[int(steps[number - 1][0])]


def _nested_grid(document: Document, mapping: Mapping, numbers: Sequence[int] = ()) -> Grid:
    """Return the grid of nested records; `numbers` are the lines of what a document of JSON Lines lists."""
    found = nested_records(document.data, mapping.records)
    if not found:
        message = f"has no records at {quoted(mapping.records)}"
        raise stop(message, _led_astray(mapping), file=document.file)
    if any(sum(map(len, one.way)) > MOST_COLUMNS for one in found):
        raise _too_wide(document)
    steps, way = [one.path for one in found], on_the_way(found, mapping)
    outer = [{name: part.path for name, part in parts.items()} for parts in way]
    carried = [
        {name: part.value if part.name is None else document.written(part.path, part.value)
         for name, part in parts.items()}
        for parts in way
    ]  # fmt: skip
    line = _in_lines(numbers, steps) if numbers else line_of(document, steps, outer)
    grid = _grid(document, steps, [one.record for one in found], line, mapping, carried)
    return replace(grid, outside=frozenset(texts_outside(document.data, {*steps})))


def _grid_below(
    document: Document, steps: Sequence[Path], records: Sequence[Any], mapping: Mapping,
    above: dict[str, Path],
) -> Grid:  # fmt: skip
    """Return the grid of records with what stands once above them all; a record's own values count first."""
    outer = [not_in(record, above, mapping) for record in records] if above else []
    texts = {key: document.written(path, document.value(path)) for key, path in above.items()}
    carried = [{key: texts[key] for key in parts} for parts in outer]
    return _grid(document, steps, records, line_of(document, steps, outer), mapping, carried)


def _own_form(document: Document) -> Grid:
    """Return the grid of asfound's own form; what it says at the top applies to every device."""
    devices = document.data["devices"]
    if not devices:
        raise stop("lists no devices", "write what was read under `devices`", file=document.file)
    grid = _grid_below(document, [("devices", i) for i in range(len(devices))], devices, Mapping(), {})
    columns = {_own_name(name): column for name, column in zip(grid.headings, grid.columns, strict=True)}
    fixed = {}
    for key, value in document.data.items():
        if key in ("asfound", "devices") or value is None:
            continue
        text = document.written((key,), value)
        if key not in columns:
            fixed[key] = document.place((key,), key, text)
        own = columns.get(key, [""] * len(devices))
        columns[key] = [its or text for its in own]
    names = list(columns)
    letters = [*grid.letters, *names[len(grid.letters) :]]
    return replace(grid, headings=names, letters=letters, columns=list(columns.values()), fixed=fixed)


def _own_name(heading: str) -> str:
    """Return the setting that a heading means; settings never have the name of a device field."""
    name = heading.removeprefix("settings.")
    return heading if name in FIELDS else name


def _grid(
    document: Document, steps: Sequence[Path], records: Sequence[Any], line: LineOf, mapping: Mapping,
    carried: Sequence[dict[str, str]] = (),
) -> Grid:  # fmt: skip
    """Return the grid of records. Raises InputProblems for what is not a record, and for lists in one.

    A list that the mapping names under `ignore` is left out. `carried` is what stands on the way to each.
    """
    columns: dict[str, list[str]] = {}
    first: dict[str, int] = {}
    slips: list[Slip] = []
    for entry, (here, record) in enumerate(zip(steps, records, strict=True)):
        number = entry + 1
        if not isinstance(record, dict):
            message = f"record {number} is {shown(record, here)}, not a set of keys and values"
            slips.append((number, "", message, "state where the records are, with `records` in a mapping"))
            continue
        values = [
            (name, *_text(document, number, name, value, where, mapping))
            for name, value, where in flat(record, here)
        ]
        values += [(name, text, None) for name, text in carried[entry].items()] if carried else []
        for name, text, slip in values:
            slips += [slip] if slip else []
            first.setdefault(name, number)
            if name not in columns:
                if len(columns) >= MOST_COLUMNS:  # each needs a column over all records
                    raise _too_wide(document)
                columns[name] = [""] * entry
            if len(columns[name]) > entry:
                message = f"record {number} gives {quoted(name)} twice: as a key and as a key within a key"
                slips.append((number, name, message, "keep one of them"))
            else:
                columns[name].append(text)
        for column in columns.values():
            if len(column) <= entry:
                column.append("")
    if slips:
        raise InputProblems(
            Problem(message, mend, document.file, line=line(number, name))
            for number, name, message, mend in slips
        )
    names, rows = list(columns), range(1, len(records) + 1)
    return Grid(document.file, "", names, names, 1, list(columns.values()), rows, first=first, line_of=line)


def _too_wide(document: Document) -> InputProblems:
    message = f"its records have more than {MOST_COLUMNS:,} keys"
    mend = "check that this is the right file, and that no key is a time or a number"
    return stop(message, mend, file=document.file)


def _text(
    document: Document, number: int, name: str, value: Any, path: Path, mapping: Mapping
) -> tuple[str, Slip | None]:
    """Return the text of a value in a record, and what is wrong with it, if anything."""
    if isinstance(value, list) and is_ignored(name, mapping):
        return "", None
    if isinstance(value, list):
        message = f"record {number}: {quoted(name)} has a list, not a single value"
        mend = "name it under `ignore` in a mapping"
        if any(isinstance(item, dict) for item in value):
            mend += f"; if it has the readings, state `form: long` there, and {leading_to(path)}"
        return "", (number, name, message, mend)
    text = document.written(path, value)
    if len(text) > LONGEST_CELL:
        message = f"record {number}: {quoted(name)} has a text of more than {LONGEST_CELL:,} characters"
        return "", (number, name, message, "check that this is the right file")
    return text, None
