"""Nested records: what `records` with a `*` leads to, with what stands on the way there."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from audit.errors import InputProblems, Problem
from audit.model import mapping as written
from audit.phrases import listed
from audit.reading.identifiers import bare
from audit.reading.mapped_names import among, key_for, used
from audit.reading.mappings import problem_in
from audit.reading.marks import Path
from audit.reading.quoting import HIDDEN_QUOTE, cut, holds_code
from audit.reading.record_lines import flat
from audit.reading.records import json_pointer
from audit.reading.vocabulary import folded

ALL = "*"
"""The step that goes through all items of a list, or through all keys of a mapping."""


class Passed(NamedTuple):
    """A single value on the way to a record, or a key that `*` goes through."""

    name: str | None
    """Its key, joined with points; None for a key that `*` goes through."""
    pointer: str
    """What leads to it, written like `records`: its heading if the mapping calls it so."""
    value: Any
    path: Path


class Nested(NamedTuple):
    """A record, and what stands on the way to it: innermost first."""

    path: Path
    record: Any
    way: tuple[tuple[Passed, ...], ...]


def goes_through(pointer: str) -> bool:
    """Return whether a pointer has a step that goes through all that is there."""
    return ALL in pointer.split("/")


def leading_to(path: Path) -> str:
    """Return in words what to state for the records in a list, and in those beside it."""
    steps = (ALL if isinstance(step, int) else _escaped(step) for step in path)
    pointer = "/".join(("", *steps, ALL))
    return "what leads to it as `records`" if holds_code(pointer) else f"`records: {cut(pointer)}`"


def _escaped(step: str) -> str:
    return step.replace("~", "~0").replace("/", "~1")


def nested_records(data: Any, pointer: str) -> list[Nested]:
    """Return the records that a pointer with `*` leads to: directly, or as the items of lists.

    What lacks the rest of the way has no records.
    """
    return list(_below(data, pointer.split("/")[1:], Nested((), None, ()), ""))


def _below(data: Any, steps: Sequence[str], before: Nested, pointer: str) -> Iterator[Nested]:
    if not steps:
        if isinstance(data, list):
            yield from (Nested((*before.path, i), item, before.way) for i, item in enumerate(data))
        elif data is not None:
            yield before._replace(record=data)
        return
    way, here = before.way, f"{pointer}/{steps[0]}"
    beside = tuple(_beside(data, steps[0], before.path, pointer)) if isinstance(data, dict) else ()
    for key in _keys(data, steps[0]):
        path = (*before.path, key)
        its = (Passed(None, here, key, path),) if steps[0] == ALL and isinstance(key, str) else ()
        groups = tuple(filter(None, (its, beside)))
        yield from _below(data[key], steps[1:], Nested(path, None, (*groups, *way)), here)


def _keys(data: Any, step: str) -> Iterable[str | int]:
    """Return the keys, or indexes, to which a step leads; those of single values only in a list."""
    if step == ALL and isinstance(data, dict):
        return [key for key, part in data.items() if isinstance(part, dict | list)]
    if step == ALL:
        return range(len(data)) if isinstance(data, list) else ()
    try:
        return json_pointer(data, f"/{step}")[0]
    except KeyError:
        return ()


def _beside(data: dict[str, Any], step: str, path: Path, pointer: str) -> Iterator[Passed]:
    """Yield the single values beside a step; below a `*` also those in mappings: they are about the item."""
    nested = goes_through(pointer) and step != ALL
    taken = {*map(str, _keys(data, step))}
    others = {
        key: part for key, part in data.items()
        if key not in taken and (nested or not isinstance(part, dict))
    }  # fmt: skip
    for name, value, where in flat(others, path):
        if not isinstance(value, list):
            steps = (_escaped(str(step)) for step in where[len(path) :])
            yield Passed(name, "/".join((pointer, *steps)), value, where)


def texts_outside(data: Any, read: Collection[Path]) -> Iterator[str]:
    """Yield the keys and texts of what is in none of the parts of a file that are read."""
    todo: list[tuple[Path, Any]] = [((), data)]
    while todo:
        path, value = todo.pop()
        if path in read:
            continue
        if isinstance(value, dict):
            yield from value
            todo.extend(((*path, key), part) for key, part in value.items())
        elif isinstance(value, list):
            todo.extend(((*path, i), part) for i, part in enumerate(value))
        elif isinstance(value, str):
            yield value


def on_the_way(found: Sequence[Nested], mapping: written.Mapping) -> list[dict[str, Passed]]:
    """Return what is carried along into each record: heading → value.

    A value in the record itself takes precedence, then the innermost. What the mapping calls by its pointer
    is carried under that. A key is the tag if nothing else is. Raises InputProblems.
    """
    its = mapping.long
    called = {*mapping.columns, *mapping.ignore, *used(mapping), its.setting, its.value, its.unit}
    pointers = {part.pointer for one in found for group in one.way for part in group}
    telling = among(pointers, mapping)
    called_by = {pointer: key_for(pointer, called, telling) for pointer in pointers}
    names = {pointer: bare(key) for pointer, key in called_by.items() if key is not None}
    own = [frozenset(name for name, *_ in flat(one.record, ())) for one in found]
    carried = [_headed(one.way, names, own[i]) for i, one in enumerate(found)]
    keys = {part.pointer for one in found for group in one.way for part in group if part.name is None}
    left = sorted(keys - {*names}, key=len)
    if not left or _have_tag([*own, *carried], mapping):
        return carried
    if len(left) > 1:
        raise InputProblems([_several(left, mapping)])
    return [_headed(one.way, {**names, left[0]: "tag"}, own[i]) for i, one in enumerate(found)]


def _headed(
    way: Iterable[Iterable[Passed]], names: Mapping[str, str], own: frozenset[str]
) -> dict[str, Passed]:
    found: dict[str, Passed] = {}
    for part in (part for group in way for part in group):
        name = names.get(part.pointer, part.name)
        if name is not None and name not in own:
            found.setdefault(name, part)
    return found


def _have_tag(records: Iterable[Iterable[str]], mapping: written.Mapping) -> bool:
    """Return whether something gives the tag: a value in or above a record, or the mapping."""
    names = {name for one in records for name in one}
    keys = {name: key_for(name, mapping.columns, mapping) for name in names}
    fields = (name if key is None else mapping.columns[key] for name, key in keys.items())
    return bool(mapping.tag_from) or "tag" in map(folded, (*fields, *mapping.constants))


def _several(pointers: Sequence[str], mapping: written.Mapping) -> Problem:
    """Return the problem of several keys, each of which may be the tag."""
    first, *others = (HIDDEN_QUOTE if holds_code(one) else json.dumps(one) for one in pointers)
    message = "`records` goes through the keys of several mappings, and nothing says which of them are tags"
    mend = f"state `columns: {{{first}: tag}}`, or the same with {listed(others)}"
    return problem_in(mapping, ("records",), message, mend)
