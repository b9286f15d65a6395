"""Entries as a table with one row for each reading, paired and merged like any other readback.

Each row of a device has its newest serial number, which says which device all of its readings belong to.
A reading that was withdrawn has no row.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from audit.errors import stop
from audit.model.entry import DEVICE_FIELDS, Entry
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.table import Place, RawColumn, Style, Table
from audit.reading.entries import Entries, Key, Line
from audit.reading.identifiers import bare
from audit.reading.quoting import remark

MARKS = ".,"
"""Entries have no thousands separators, so that either a comma or a point is the decimal mark."""
STYLE = Style(decimal=MARKS, blanks=frozenset(DEFAULT_BLANKS))
ABOUT = ("tag", "network", "site", "plan_revision", "read_at", "read_by", "read_how")


def entry_table(entries: Entries) -> Table:
    """Return the readings that were not withdrawn. Raises InputProblems if there are none."""
    lines = _standing(entries.lines)
    if not lines:
        message = "has no readings: everything in it was left out" if entries.lines else "has no readings"
        raise stop(message, "read at least one setting, or remove the file", file=entries.file)
    serials = {line.key[:2]: line for line in lines if line.name == "serial"}
    columns: dict[str, list[str]] = defaultdict(lambda: [""] * len(lines))
    cells: dict[tuple[int, str], tuple[int, str]] = {}

    def put(row: int, name: str, text: str, line: int, key: str) -> None:
        if text.strip():
            columns[name][row] = text
            cells[row, name] = (line, key)

    for row, line in enumerate(lines):
        for key in ABOUT:
            put(row, key, getattr(line.entry, key), line.number, key)
        if serial := serials.get(line.key[:2]):
            put(row, "serial", serial.entry.value, serial.number, "value")
        if line.name != "serial":
            put(row, line.name, _text(line.entry), line.number, "value")
    plain = (*ABOUT, *DEVICE_FIELDS)
    raw = {
        name: RawColumn(texts, name if name in ABOUT else "value", name, Style() if name in plain else STYLE)
        for name, texts in columns.items()
    }
    return Table(entries.file, "", [line.number for line in lines], raw, cells)


def left_out(entries: Entries, secrets: Iterable[str]) -> dict[Key, Place]:
    """Return the settings whose last entry skips them, each with its place, which contains the reason.

    A reason that may contain an access code is not shown. `secrets` are the plan's names for codes.
    """
    last = {line.key: line for line in entries.lines}
    return {
        key: Place(entries.file, "", line.number, "skipped", "skipped", remark(line.entry.skipped, secrets))
        for key, line in last.items()
        if line.entry.skipped is not None
    }


def _text(entry: Entry) -> str:
    """Return what was read, with the unit if one was typed."""
    unit = bare(entry.unit)
    return f"{bare(entry.value)} {unit}" if unit else entry.value


def _standing(lines: tuple[Line, ...]) -> list[Line]:
    """Return the lines of readings that count, with older readings of the same, in the order of the file.

    Skipping a setting withdraws its earlier readings. If a device has no reading left, its notes and photos
    do not count as a reading of it.
    """
    standing: dict[Key, list[Line]] = defaultdict(list)
    for line in lines:
        if line.entry.skipped is None:
            standing[line.key].append(line)
        else:
            standing[line.key].clear()
    read = {key[:2] for key, of in standing.items() if of and key[2] not in ("note", "photo")}
    kept = [line for key, of in standing.items() if key[:2] in read for line in of]
    return sorted(kept, key=lambda line: line.number)
