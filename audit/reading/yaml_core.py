"""YAML by the core schema of YAML 1.2, with the place of every value.

PyYAML by itself reads `016` as 14, `1:30` as 90 and `no` as False, and accepts duplicate keys. Here its
parser supplies the events, and this file makes the values, as YAML 1.2.2 section 10.3 says.
Duplicate keys, custom tags, several documents and runaway aliases are errors.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from audit.errors import InputProblems, Problem, first_line, stop
from audit.reading.files import whole_characters
from audit.reading.marks import Document, Mark, Path
from audit.reading.quoting import HIDDEN_QUOTE, key_may_be_code, quoted
from audit.reading.yaml_scalars import resolve

MOST_DEPTH = 60
MOST_REPEATED = 300_000
"""The most values that may come from aliases, counted every time they are used; more than a site needs."""

_TAGS = {f"tag:yaml.org,2002:{name}": name for name in ("str", "int", "float", "bool", "null")}

_Parser: Any = getattr(yaml, "CLoader", yaml.Loader)


def load(text: str, file: str) -> Document:
    """Return the values and marks of a YAML text. Raises InputProblems with every problem found.

    Keys that are given twice are in the document: the rest of it can be checked too before it is refused.
    """
    try:
        return _Builder(file).build(yaml.parse(text, Loader=_Parser))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, str(mark.column + 1)) if mark else (0, "")
        about = f" ({error.context})" if error.context else ""
        mend = "check the indentation, quotes and brackets at and above this line"
        if "cannot start any token" in str(error.problem):
            message = "there is a tab or another mark where none is allowed"
            mend = "indent with blanks; put texts that begin with @ or ` in quotes"
            raise stop(message, mend, file=file, line=line, column=column) from None
        message = f"is not YAML: {error.problem}{about}"
        raise stop(message, mend, file=file, line=line, column=column) from None
    except yaml.YAMLError as error:
        message = f"is not YAML: {first_line(error)}"
        character = getattr(error, "character", None)
        line = text.count("\n", 0, text.find(chr(character))) + 1 if isinstance(character, int) else 0
        raise stop(
            message, "remove the character; save the file as plain UTF-8 text", file=file, line=line
        ) from None


@dataclass
class _Open:
    """A mapping or sequence that has begun but not yet ended."""

    value: Any
    path: Path
    anchor: str | None
    key: Any = None
    has_key: bool = False


class _Builder:
    """Makes values from events, without recursion, so that nesting cannot exhaust the stack."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.marks: dict[Path, Mark] = {}
        self.keys: dict[Path, Mark] = {}
        self.problems: list[Problem] = []
        self.twice: list[Problem] = []
        self.open: list[_Open] = []
        self.anchors: dict[str, tuple[Any, Path]] = {}
        self.repeated = 0
        self.root: Any = None

    def build(self, events: Iterator[Any]) -> Document:
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._problem(event, "begins a second document", "keep one document in each file")
                    break
            elif isinstance(event, yaml.ScalarEvent):
                self._scalar(event)
            elif isinstance(event, yaml.AliasEvent):
                self._alias(event)
            elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
                self._begin(event, {} if isinstance(event, yaml.MappingStartEvent) else [])
            elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                self._end()
        if self.problems:
            raise InputProblems([*self.twice, *self.problems])
        return Document(self.file, self.root, self.marks, self.keys, twice=self.twice)

    def _problem(self, event: Any, message: str, mend: str) -> None:
        self.problems.append(self._at(event, message, mend))

    def _at(self, event: Any, message: str, mend: str) -> Problem:
        mark = event.start_mark
        return Problem(message, mend, self.file, line=mark.line + 1, column=str(mark.column + 1))

    def _path(self) -> Path:
        if not self.open:
            return ()
        top = self.open[-1]
        step = top.key if isinstance(top.value, dict) else len(top.value)
        return (*top.path, step)

    def _put(self, value: Any) -> None:
        if not self.open:
            self.root = value
            return
        top = self.open[-1]
        if isinstance(top.value, dict):
            top.value[top.key] = value
            top.has_key = False
        else:
            top.value.append(value)

    def _expects_key(self) -> bool:
        return bool(self.open) and isinstance(self.open[-1].value, dict) and not self.open[-1].has_key

    def _tag(self, event: Any) -> str | None:
        if event.tag is None or event.tag == "!":
            return None
        if event.tag not in _TAGS:
            self._problem(event, "there is a tag here that is not understood", "remove the tag")
            return None
        return _TAGS[event.tag]

    def _tagged(self, event: Any, tag: str | None, value: Any) -> Any:
        """Return a value as its tag says, and note a problem if it does not fit the tag."""
        if tag == "float" and isinstance(value, int) and not isinstance(value, bool):
            return float(value)
        kinds = {"int": int, "float": float, "bool": bool, "null": type(None)}
        fits = tag not in kinds or type(value) is kinds[tag]
        if not fits:
            self._problem(event, f"the value does not fit its tag !!{tag}", "remove the tag")
        return value

    def _scalar(self, event: Any) -> None:
        tag = self._tag(event)
        plain = event.implicit[0] and event.tag is None
        text = whole_characters(event.value)
        mark = Mark(event.start_mark.line + 1, event.start_mark.column + 1, text)
        if self._expects_key():
            self._key(event, mark)
            return
        value = resolve(text) if plain or tag not in (None, "str") else text
        value = self._tagged(event, tag, value)
        self.marks[self._path()] = mark
        if event.anchor:
            self.anchors[event.anchor] = (value, self._path())
        self._put(value)

    def _key(self, event: Any, mark: Mark) -> None:
        top = self.open[-1]
        key = mark.raw
        if key in top.value:
            first = self.marks.get((*top.path, key))
            where = f" (first at line {first.line})" if first else ""
            shown = HIDDEN_QUOTE if key_may_be_code((*top.path, key)) else quoted(key)
            self.twice.append(self._at(event, f"the key {shown} is given twice{where}", "keep one of them"))
        top.key, top.has_key = key, True
        top.value[key] = None
        self.marks[(*top.path, key)] = self.keys[(*top.path, key)] = mark

    def _begin(self, event: Any, value: Any) -> None:
        kind = "map" if isinstance(value, dict) else "seq"
        if event.tag not in (None, "!", f"tag:yaml.org,2002:{kind}"):
            self._problem(event, "there is a tag here that is not understood", "remove the tag")
        if self._expects_key():
            self._problem(event, "a list or mapping cannot be a key", "use a plain word as key")
            raise InputProblems(self.problems)
        if len(self.open) >= MOST_DEPTH:
            self._problem(event, f"is nested more than {MOST_DEPTH} deep", "flatten it")
            raise InputProblems(self.problems)
        path = self._path()
        if path not in self.marks:
            self.marks[path] = Mark(event.start_mark.line + 1, event.start_mark.column + 1)
        self.open.append(_Open(value, path, event.anchor))

    def _end(self) -> None:
        done = self.open.pop()
        if done.anchor:
            self.anchors[done.anchor] = (done.value, done.path)
        self._put(done.value)

    def _alias(self, event: Any) -> None:
        if self._expects_key():
            self._problem(event, "an alias cannot be a key", "write out the key")
            raise InputProblems(self.problems)
        if event.anchor not in self.anchors:
            mend = "put a text that begins with * in quotes, or mark the value above with &"
            self._problem(event, "an alias refers to nothing above it", mend)
            self._put(None)
            return
        value, source = self.anchors[event.anchor]
        self._copy_marks(event, value, source, self._path())
        self._put(value)

    def _copy_marks(self, event: Any, value: Any, source: Path, target: Path) -> None:
        """Give every value under an alias the mark of its original, counting each one."""
        todo: list[tuple[Any, Path, Path]] = [(value, source, target)]
        while todo:
            item, old, new = todo.pop()
            self.repeated += 1
            if self.repeated > MOST_REPEATED:
                message = f"has more than {MOST_REPEATED:,} values once aliases are expanded"
                self._problem(event, message, "put long node lists into a CSV table, and do not nest aliases")
                raise InputProblems(self.problems)
            for marks in (self.marks, self.keys):
                if old in marks:
                    marks[new] = marks[old]
            parts = list(item.items()) if isinstance(item, dict) else []
            parts = list(enumerate(item)) if isinstance(item, list) else parts
            todo.extend((part, (*old, step), (*new, step)) for step, part in parts)
