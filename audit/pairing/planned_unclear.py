"""Planned texts that are not values: a plan has to be clear, so each is a problem of the input."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from audit.errors import Problem
from audit.model.site import Block
from audit.model.table import Place
from audit.model.value import blanks
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.values import expected
from audit.reading.written_numbers import OTHER_MARK, THOUSANDS, without_advice

NAMED = "named in the plan: `mapping:` beside `file:`"
MOST_APART = 2
"""Most texts of a table, unclear in the same way, that are reported singly: more are a way of writing."""


class _Unclear(NamedTuple):
    """A planned text that is not a value."""

    setting: str
    what: str
    text: str
    place: Place
    why: str
    other_mark: bool
    """Whether it would be a number if another decimal mark were declared."""
    expected: str
    thousands: bool
    """Whether it would be a number if a mark between thousands were declared."""


def not_clear(blocks: Iterable[Block], plan: LoadedPlan) -> list[Problem]:
    """Return a problem for every planned text that is not a value; one for all that a table writes so."""
    problems: list[Problem] = []
    marked: dict[tuple[str, str, str], list[_Unclear]] = {}
    worded: dict[tuple[str, str, str, str], list[_Unclear]] = {}
    for item in (item for block in blocks for item in _unclear(block)):
        if item.other_mark:
            mark = "," if "," in item.text else "."
            marked.setdefault((item.place.file, item.place.sheet, mark), []).append(item)
        else:
            alike = ("", "") if item.thousands else (item.setting, item.text)
            word = (item.place.file, item.place.sheet, *alike)
            worded.setdefault(word, []).append(item)
    stated = {(group.table.file, group.table.sheet): _where(group.table.mapping) for group in plan.nodes}
    for (file, sheet, mark), items in marked.items():
        where = "" if file == plan.name else stated[file, sheet]
        problems.extend(_marked(items, mark, where and f"state `decimal: {mark!r}` {where}"))
    for (file, sheet, _, _), items in worded.items():
        problems.extend(_worded(items, "" if file == plan.name else stated[file, sheet]))
    return problems


def _unclear(block: Block) -> Iterator[_Unclear]:
    """Yield texts that are not values, once for each place: a default is in one place for many devices."""
    for setting in block.type.settings:
        name, values = setting.name, block.planned.get(setting.name, blanks(0))
        bad = {value for value in values.among if value.state in ("unclear", "impossible")}
        reported: set[Place] = set()
        for i in [i for i, value in enumerate(values) if value in bad] if bad else ():
            place = block.planned_place(i, name)
            if place not in reported:
                reported.add(place)
                what, note = f"{name} of {block.tags[i]}", values[i].note
                why, mark = without_advice(note), OTHER_MARK in note
                thousands = THOUSANDS in note
                yield _Unclear(name, what, values[i].shown, place, why, mark, expected(setting), thousands)


def _marked(items: Sequence[_Unclear], mark: str, state: str) -> list[Problem]:
    """Return a problem for each number with another decimal mark, or one for all of a table.

    `state` says where the mark can be stated; empty for the plan itself, whose mark is the point.
    """
    if state and len(items) > MOST_APART:
        first = min(items, key=lambda item: item.place.row)
        columns = {item.place.column for item in items}
        where = f", in {len(columns)} columns" if len(columns) > 1 else ""
        message = f"{first.what}: {first.why}; {len(items) - 1:,} more are like it{where}"
        return [first.place.problem(message, f"{state}; or write them as {_written(first, mark)}")]
    return [
        item.place.problem(
            f"{item.what}: {item.why}", f"write {_written(item, mark)}" + (f"; or {state}" if state else "")
        )
        for item in items
    ]


def _written(item: _Unclear, mark: str) -> str:
    """Return a number with the declared decimal mark, and without its mark if that may divide thousands."""
    decimal = item.text.replace(mark, "." if mark == "," else ",")
    if not re.match(rf"[-+]?[1-9]\d{{0,2}}{re.escape(mark)}\d{{3}}(?!\d)", item.text):
        return decimal
    return f"{decimal}, or {item.text.replace(mark, '')} if the mark separates thousands"


def _worded(items: Sequence[_Unclear], where: str) -> list[Problem]:
    """Return a problem for each text that is not a value of its setting, or one for a word in many rows.

    `where` says where a mapping can translate it; empty for the plan itself, which has none.
    """
    if where and len(items) > MOST_APART:
        first = min(items, key=lambda item: item.place.row)
        message = f"{first.what}: {first.why}; {len(items) - 1:,} more are like it"
        states = f"say what it means, `values: {{{first.setting}: {{{first.text}: …}}}}`"
        if first.thousands:
            states = "if it separates thousands, state `grouping` (and `decimal`)"
        return [first.place.problem(message, f"{first.expected}; or {states} {where}")]
    return [
        item.place.problem(f"{item.what}: {item.why}", f"{item.expected}; or - if nothing is planned")
        for item in items
    ]


def _where(mapping: str) -> str:
    """Return where it can be stated how a table is written."""
    return f"in its mapping, {mapping}" if mapping else f"in a mapping, {NAMED}"
