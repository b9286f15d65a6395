"""A YAML or JSON file of keys and values, with the place of every value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import reduce
from operator import getitem
from typing import Any, NamedTuple

from audit.errors import Problem
from audit.model.table import Place

Path = tuple[str | int, ...]
"""Keys and indexes from the top of a file to a value."""


class Mark(NamedTuple):
    """Where a value is, counted from 1, and its raw text if it is a scalar."""

    line: int
    column: int
    raw: str = ""


@dataclass(frozen=True, slots=True)
class Document:
    """A file's values and, for each path of keys and indexes, where the value is."""

    file: str
    data: Any
    marks: dict[Path, Mark] = field(default_factory=dict)
    keys: dict[Path, Mark] = field(default_factory=dict)
    """Where the key of a value is."""
    text: str = ""
    """The text of a JSON file, whose values have no marks of their own."""
    twice: Sequence[Problem] = ()
    """Keys that are given twice, of which the last counts until whoever reads the document refuses it."""

    def key(self, path: Path) -> Mark:
        """Return the mark of the key at a path, or of the nearest thing that contains it."""
        return self.keys.get(path) or self.mark(path)

    def problem(self, path: Path, message: str, mend: str, *, of_key: bool = False) -> Problem:
        """Return a problem with the value at a path, or with its key."""
        return self.place(path, of_key=of_key).problem(message, mend)

    def place(self, path: Path, heading: str = "", raw: str = "", *, of_key: bool = False) -> Place:
        """Return the place of the value at a path, or of its key; `heading` and `raw` are what it says."""
        mark = self.key(path) if of_key else self.mark(path)
        return Place(self.file, "", mark.line, str(mark.column), heading, raw)

    def value(self, path: Path) -> Any:
        """Return the value at a path."""
        return reduce(getitem, path, self.data)

    def written(self, path: Path, value: Any) -> str:
        """Return a single value as it is written at a path: 0050 is not 50. Blank for None."""
        if value is None:
            return ""
        mark = self.marks.get(path)
        return mark.raw if mark else str(value).lower() if isinstance(value, bool) else str(value)

    def mark(self, path: Path) -> Mark:
        """Return the mark of a path, or of the nearest thing that contains it."""
        while path and path not in self.marks:
            path = path[:-1]
        return self.marks.get(path, Mark(1, 1))
