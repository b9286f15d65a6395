"""The lines of values in a JSON or YAML file: looked up only for values that are quoted."""

from __future__ import annotations

import json
import re
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from audit.reading.files import whole_characters
from audit.reading.marks import Document, Path

LineOf = Callable[[int, str], int]
"""Number of a record, counted from 1, and the joined name of a value (blank: the record) → its line."""

Outer = Mapping[str, Path]
"""Heading → path of a value outside of a record that applies to it."""

_DECODER = json.JSONDecoder(parse_float=str, parse_int=str)
_BLANKS = re.compile(r"[ \t\r\n]*")


def line_of(document: Document, steps: Sequence[Path], outer: Sequence[Outer] = ()) -> LineOf:
    """Return the lines of the records to which `steps` lead; `outer` is what is carried into each of them."""
    if document.marks:
        return _in_marks(document, steps, outer)
    return _in_json(document.text, steps, outer)


def _in_marks(document: Document, steps: Sequence[Path], outer: Sequence[Outer]) -> LineOf:
    """Return the lines in a file that was read with the places of its values."""

    def line(number: int, name: str) -> int:
        here = steps[number - 1]
        inside = _within(document, here, name) if name else None
        above = outer[number - 1].get(name) if outer and not inside else inside
        return document.mark(above).line if above else document.key(here).line

    return line


def _within(document: Document, path: Path, name: str) -> Path | None:
    """Return the path of a value below another, given its joined name."""
    return next((where for known, _, where in flat(document.value(path), path) if known == name), None)


def _in_json(text: str, steps: Sequence[Path], outer: Sequence[Outer]) -> LineOf:
    """Return the lines in a JSON text, of which what is on the way is parsed again when first asked for."""

    @cache
    def members(path: Path) -> dict[str | int, int]:
        return dict(_members(text, start(path)))

    def start(path: Path) -> int:
        return members(path[:-1])[path[-1]] if path else _blanks(text, 0)

    @cache
    def ends() -> list[int]:
        return [found.start() for found in re.finditer("\n", text)]

    def line(number: int, name: str) -> int:
        at = start(steps[number - 1])
        inside = _named(text, at, name) if name and text[at] == "{" else None
        if inside is None and outer and name in outer[number - 1]:
            inside = start(outer[number - 1][name])
        return bisect_left(ends(), inside or at) + 1

    return line


def _named(text: str, at: int, name: str, before: str = "") -> int | None:
    """Return where the value with a joined name begins, in the object that begins at `at`."""
    for key, start in _members(text, at):
        joined = f"{before}{key}"
        inner = text[start] == "{"
        if joined == name and not inner:
            return start
        if inner and name.startswith(f"{joined}.") and (found := _named(text, start, name, f"{joined}.")):
            return found
    return None


def _members(text: str, at: int) -> Iterator[tuple[str | int, int]]:
    """Yield the key, or the index, and the start of each value in the object or list that begins at `at`."""
    keyed, index = text[at] == "{", 0
    at = _blanks(text, at + 1)
    while text[at] not in "]}":
        key: str | int = index
        if keyed:
            word, at = _DECODER.raw_decode(text, at)
            key, at = whole_characters(word), _blanks(text, _blanks(text, at) + 1)
        yield key, at
        at = _blanks(text, _DECODER.raw_decode(text, at)[1])
        if text[at] == ",":
            at = _blanks(text, at + 1)
        index += 1


def _blanks(text: str, at: int) -> int:
    """Return where the blanks at a position end."""
    found = _BLANKS.match(text, at)
    return found.end() if found else at


def flat(record: dict[str, Any], path: Path) -> list[tuple[str, Any, Path]]:
    """Return the values of a record that are not mappings, each with its joined name and its path."""
    found = []
    todo: list[tuple[str, Any, Path]] = [("", record, path)]
    while todo:
        name, value, where = todo.pop()
        if isinstance(value, dict):
            inner = [
                (f"{name}.{key}" if name else str(key), part, (*where, key)) for key, part in value.items()
            ]
            todo.extend(reversed(inner))
        else:
            found.append((name, value, where))
    return found
