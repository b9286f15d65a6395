"""JSON Lines: a file with an object on each line, either a gateway's export or our own entries."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from audit.endings import holds_entries
from audit.errors import InputProblems, Problem, stop_if
from audit.reading.documents import KINDS, parse_json
from audit.reading.files import FileBytes, composed, decode
from audit.reading.own_files import kind_of

ENTRIES = KINDS["entry"]


def are_entries(file: FileBytes) -> bool:
    """Return whether a file contains entries: by its first line, or by its name unless that is an export."""
    first = file.data.removeprefix(b"\xef\xbb\xbf").lstrip().partition(b"\n")[0]
    kind = kind_of(first.decode("utf-8", "replace")) if first.startswith(b"{") else ""
    return kind == ENTRIES or (holds_entries(file.name) and (bool(kind) or not _is_object(first)))


def _is_object(line: bytes) -> bool:
    try:
        return isinstance(parse_json(line.decode("utf-8"), ""), dict)
    except (UnicodeDecodeError, InputProblems):
        return False


def in_lines(file: FileBytes) -> bool:
    """Return whether a file that has no entries is JSON Lines: by its name or its first line."""
    if holds_entries(file.name):
        return True
    first, _, others = file.data.removeprefix(b"\xef\xbb\xbf").strip().partition(b"\n")
    return file.path.suffix.lower() == ".json" and bool(others) and _is_object(first)


def read_lines(file: FileBytes) -> tuple[list[int], list[Any]]:
    """Return the numbers of the lines with values, and the values. Raises InputProblems with all problems."""
    numbers: list[int] = []
    values: list[Any] = []
    problems: list[Problem] = []
    for number, text in enumerate(composed(decode(file)).split("\n"), start=1):
        if not text.strip():
            continue
        try:
            values.append(parse_json(text, file.name))
            numbers.append(number)
        except InputProblems as error:
            problems += [replace(problem, line=number) for problem in error.problems]
    stop_if(problems)
    return numbers, values
