"""JSON and YAML readbacks as grids: a record a device, nested keys joined with points."""

from __future__ import annotations

from typing import Any

from audit.errors import InputProblems, Problem, stop
from audit.model.mapping import Mapping
from audit.model.readback import FIELDS, ReadbackFile
from audit.model.table import Place
from audit.reading.csv_grid import LONGEST_CELL, MOST_COLUMNS
from audit.reading.documents import KINDS, build, json_pointer, read_document, with_marks
from audit.reading.files import FileBytes
from audit.reading.grid import Grid
from audit.reading.marks import Document, Path
from audit.reading.own_files import KEEP_APART, is_another
from audit.reading.quoting import quoted, shown

Slip = tuple[Path, str, str]
"""The path of what is wrong, what is wrong, and how to mend it."""


def read_records(file: FileBytes, mapping: Mapping) -> Grid:
    """Return the grid of a JSON or YAML file. Raises InputProblems."""
    document = read_document(file)
    if isinstance(document.data, dict) and "asfound" in document.data:
        build(document, ReadbackFile, "readback")
        return _own_form(with_marks(document))
    if isinstance(document.data, dict) and str(document.data.get("schema")).startswith("asfound/"):
        kind = str(document.data["schema"]).split("/")[1]
        raise is_another(KINDS.get(kind, kind), "readback", file.name, KEEP_APART)
    try:
        path, records = _records(document.data, mapping)
    except KeyError:
        message = f"has nothing at {quoted(mapping.records)}"
        raise stop(message, "correct `records` in the mapping", file=file.name) from None
    if not isinstance(records, list) or not records:
        message = f"holds no list of records at {quoted(mapping.records) if mapping.records else 'its top'}"
        raise stop(message, "state where it is with `records` in a mapping", file=file.name)
    return _grid(document, path, records)


def _records(data: Any, mapping: Mapping) -> tuple[Path, Any]:
    """Return where the records stand, and them: as the mapping says, at the top, or in the only list."""
    if mapping.records:
        return json_pointer(data, mapping.records)
    lists = [key for key, value in data.items() if isinstance(value, list)] if isinstance(data, dict) else []
    return ((lists[0],), data[lists[0]]) if len(lists) == 1 else ((), data)


def _own_form(document: Document) -> Grid:
    """Return the grid of this tool's own form; what it says at its top is said of every device."""
    devices = document.data["devices"]
    if not devices:
        raise stop("lists no devices", "write what was read under `devices`", file=document.file)
    grid = _grid(document, ("devices",), devices)
    columns = {_own_name(name): column for name, column in zip(grid.headings, grid.columns, strict=True)}
    fixed = {}
    for key, value in document.data.items():
        if key in ("asfound", "devices") or value is None:
            continue
        mark = document.mark((key,))
        text = document.written((key,), value)
        if key not in columns:
            fixed[key] = Place(document.file, "", mark.line, str(mark.column), key, text)
        own = columns.get(key, [""] * len(devices))
        columns[key] = [its or text for its in own]
    names = list(columns)
    letters = [*grid.letters, *names[len(grid.letters) :]]
    return Grid(
        grid.file, "", names, letters, 1, list(columns.values()), grid.rows, fixed, grid.rows_of_headings
    )


def _own_name(heading: str) -> str:
    """Return the setting that a heading means; no setting is called as a field of the device is."""
    name = heading.removeprefix("settings.")
    return heading if name in FIELDS else name


def _grid(document: Document, path: Path, records: list[Any]) -> Grid:
    """Return the grid of records. Raises InputProblems for what is no record, and for lists in them."""
    columns: dict[str, list[str]] = {}
    first: dict[str, Path] = {}
    rows: list[int] = []
    slips: list[Slip] = []
    for entry, record in enumerate(records):
        here = (*path, entry)
        if not isinstance(record, dict):
            message = f"record {entry + 1} is {shown(record, here)}, a mapping was expected"
            slips.append((here, message, "state where the records are, with `records` in a mapping"))
            continue
        rows.append(document.mark(here).line if document.marks else entry + 1)
        for name, value, where in _flat(record, here):
            text, slip = _text(document, name, value, where)
            slips += [slip] if slip else []
            first.setdefault(name, where)
            if name not in columns:
                _check_width(document, columns)
                columns[name] = [""] * entry
            if len(columns[name]) > entry:
                message = f"record {entry + 1} gives {quoted(name)} twice: as a key and as a key within a key"
                slips.append((where, message, "keep one of them"))
            else:
                columns[name].append(text)
        for column in columns.values():
            if len(column) <= entry:
                column.append("")
    if slips:
        raise InputProblems(_placed(document, slips))
    names = list(columns)
    lines = {name: document.key(where).line for name, where in first.items()} if document.marks else {}
    return Grid(document.file, "", names, names, 1, list(columns.values()), rows, rows_of_headings=lines)


def _check_width(document: Document, columns: dict[str, list[str]]) -> None:
    """Raise InputProblems where one more key would be too many: each takes a column over all records."""
    if len(columns) >= MOST_COLUMNS:
        message = f"its records have more than {MOST_COLUMNS:,} keys"
        raise stop(message, "check that it is the right file, and that no key is a time or a number",
                   file=document.file)  # fmt: skip


def _placed(document: Document, slips: list[Slip]) -> list[Problem]:
    """Return slips as problems with their lines, which a JSON file shows only when read once more."""
    document = with_marks(document)
    return [
        Problem(message, mend, document.file, line=document.mark(path).line if document.marks else 0)
        for path, message, mend in slips
    ]


def _flat(record: dict[str, Any], path: Path) -> list[tuple[str, Any, Path]]:
    """Return the values of a record that are no mappings, each with its joined name and its path."""
    flat = []
    todo: list[tuple[str, Any, Path]] = [("", record, path)]
    while todo:
        name, value, where = todo.pop()
        if isinstance(value, dict):
            inner = [
                (f"{name}.{key}" if name else str(key), part, (*where, key)) for key, part in value.items()
            ]
            todo.extend(reversed(inner))
        else:
            flat.append((name, value, where))
    return flat


def _text(document: Document, name: str, value: Any, path: Path) -> tuple[str, Slip | None]:
    """Return the text of a value, and what is wrong with it, if anything."""
    if isinstance(value, list):
        message = f"record {_record_number(path)}: {quoted(name)} holds a list, not a single value"
        return "", (path, message, "leave it out with `ignore` in a mapping")
    text = document.written(path, value)
    if len(text) > LONGEST_CELL:
        where = f"record {_record_number(path)}: {quoted(name)}"
        message = f"{where} holds a text of more than {LONGEST_CELL:,} characters"
        return "", (path, message, "check that it is the right file")
    return text, None


def _record_number(path: Path) -> int:
    """Return the number of the record that a path leads into, counted from 1."""
    return next(step for step in path if isinstance(step, int)) + 1
