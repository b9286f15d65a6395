"""JSON and YAML readbacks as grids: a record a device, nested keys joined with points."""

from __future__ import annotations

from typing import Any

from audit.errors import InputProblems, Problem, stop
from audit.model.mapping import Mapping
from audit.model.readback import ReadbackFile
from audit.reading.csv_grid import LONGEST_CELL
from audit.reading.documents import build, json_pointer, read_document
from audit.reading.files import FileBytes
from audit.reading.grid import Grid
from audit.reading.quoting import quoted, shown
from audit.reading.yaml_core import Document, Path

Record = tuple[Any, Path, dict[str, str]]
"""A device's values, their path in the file, and the texts that it shares with all."""


def read_records(file: FileBytes, mapping: Mapping) -> Grid:
    """Return the grid of a JSON or YAML file. Raises InputProblems."""
    document = read_document(file)
    data = document.data
    if isinstance(data, dict) and "asfound" in data:
        build(document, ReadbackFile, "readback")
        return _own_form(document)
    path = _records_path(document, mapping)
    try:
        records = json_pointer(data, "".join(f"/{step}" for step in path))
    except KeyError:
        message = f"has nothing at {mapping.records!r}"
        raise stop(message, "correct `records` in the mapping", file=file.name) from None
    if not isinstance(records, list) or not records:
        message = f"holds no list of records at {mapping.records or 'its top'!r}"
        raise stop(message, "state where it is with `records` in a mapping", file=file.name)
    return _grid(document, [(r, (*path, i), {}) for i, r in enumerate(records)])


def _records_path(document: Document, mapping: Mapping) -> Path:
    """Return where the records stand: as the mapping says, at the top, or in the only list there."""
    if mapping.records:
        return tuple(mapping.records.split("/")[1:])
    data = document.data
    lists = [key for key, value in data.items() if isinstance(value, list)] if isinstance(data, dict) else []
    return (lists[0],) if len(lists) == 1 else ()


def _own_form(document: Document) -> Grid:
    """Return the grid of this tool's own form; what it says at its top is said of every device."""
    data = document.data
    common = {
        key: str(value) for key, value in data.items()
        if key not in ("asfound", "devices") and value is not None
    }  # fmt: skip
    records: list[Record] = [(device, ("devices", i), common) for i, device in enumerate(data["devices"])]
    grid = _grid(document, records)
    headings = [heading.removeprefix("settings.") for heading in grid.headings]
    return Grid(grid.file, "", headings, grid.letters, 1, grid.columns, grid.rows)


def _grid(document: Document, records: list[Record]) -> Grid:
    """Return the grid of records, each with its path and the texts that it shares with all."""
    columns: dict[str, list[str]] = {}
    rows: list[int] = []
    problems: list[Problem] = []
    for entry, (record, path, common) in enumerate(records):
        if not isinstance(record, dict):
            message = f"record {entry + 1} is {shown(record, path)}, a mapping was expected"
            problems.append(Problem(message, "state where the records are, with `records`", document.file))
            continue
        rows.append(document.mark(path).line if document.marks else entry + 1)
        texts = common | _flat(document, record, path, problems)
        for key, text in texts.items():
            columns.setdefault(key, [""] * entry).append(text)
        for column in columns.values():
            if len(column) <= entry:
                column.append("")
    if problems:
        raise InputProblems(problems)
    names = list(columns)
    return Grid(document.file, "", names, names, 1, list(columns.values()), rows)


def _flat(document: Document, record: dict[str, Any], path: Path, problems: list[Problem]) -> dict[str, str]:
    texts: dict[str, str] = {}
    todo: list[tuple[str, Any, Path]] = [("", record, path)]
    while todo:
        name, value, where = todo.pop()
        if isinstance(value, dict):
            inner = [(f"{name}.{key}" if name else str(key), part, (*where, key))
                     for key, part in value.items()]  # fmt: skip
            todo.extend(reversed(inner))
        elif isinstance(value, list):
            message = f"{quoted(name)} holds a list, a single value was expected"
            line = document.mark(where).line if document.marks else 0
            problems.append(Problem(message, "leave it out with `ignore`", document.file, line=line))
        else:
            texts[name] = _scalar(document, value, where)
            if len(texts[name]) > LONGEST_CELL or len(name) > LONGEST_CELL:
                message = f"a value or its name is longer than {LONGEST_CELL:,} characters"
                raise stop(message, "check the export", file=document.file)
    return texts


def _scalar(document: Document, value: Any, path: Path) -> str:
    if value is None:
        return ""
    mark = document.marks.get(path)
    if mark and mark.raw:
        return mark.raw
    return str(value).lower() if isinstance(value, bool) else str(value)
