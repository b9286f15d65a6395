"""Planned texts that are not values of their settings: a plan has to be clear, so each is a problem."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from audit.errors import Problem
from audit.model.device import DeviceType, Setting
from audit.model.roles import SETPOINTS
from audit.model.table import Place
from audit.model.value import Value
from audit.reading.identifiers import bare
from audit.reading.loaded_plan import INLINE, Group, LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.planned_defaults import default_text, gateways_texts
from audit.reading.quoting import as_yaml
from audit.reading.values import expected
from audit.reading.written_numbers import OTHER_MARK, THOUSANDS, WHY_NOT_LABELLED, WHY_NOT_TWO, without_advice

NAMED = "named in the plan: `mapping:` beside `file:`"
NO_VALUE = ("unclear", "impossible")
"""States of a text that is not a value of its setting."""
OF_CELLS = {
    WHY_NOT_TWO: "write both numbers, or each in a column of its own",
    WHY_NOT_LABELLED: "write each value behind a label that the device type has; or name what is to be left "
    "out under `ignore` in the mapping",
}
"""What is wrong with a cell that has several settings → how to mend it."""
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


def out_of_place(plan: LoadedPlan) -> list[Problem]:
    """Return a problem for every text in a column of a setting that the row's device type does not have.

    A gateway with the type of a node, or a node with that of a gateway, is passed over: a problem of its own.
    """
    problems = []
    has = {name: {s.name for s in kind.settings} for name, kind in plan.types.items()}
    gateways = {name for name, kind in plan.types.items() if kind.device == "gateway"}
    of_groups = [(plan.gateways, gateways), (plan.nodes, has.keys() - gateways), (plan.further, has.keys())]
    for group, fitting in ((group, fitting) for groups, fitting in of_groups for group in groups):
        known = set(group.types) & fitting
        for name, column in group.table.columns.items():
            if name not in plan.words.settings or all(name in has[kind] for kind in known):
                continue
            for entry, text in enumerate(column.texts):
                kind = group.types[entry]
                if kind in fitting and name not in has[kind] and not column.style.is_blank(text):
                    message = f"device type {kind!r} has no setting {name!r}"
                    mend = "leave the cell empty, or correct the type"
                    problems.append(group.table.place(entry, name).problem(message, mend))
    return problems


def not_clear(plan: LoadedPlan) -> list[Problem]:
    """Return a problem for every planned text that is not a value; one for all that a table writes so.

    Devices of unknown types are passed over: a problem of their own.
    """
    problems: list[Problem] = []
    marked: dict[tuple[str, str, str], list[_Unclear]] = {}
    worded: dict[tuple[str, str, str, str], list[_Unclear]] = {}
    once: dict[tuple[Place, str], _Unclear] = {}
    for item in _unclear(plan):  # a default is one for many devices: the first of them is named
        once.setdefault((item.place, item.why), item)
    for item in once.values():
        if item.other_mark:
            mark = "," if "," in item.text else "."
            marked.setdefault((item.place.file, item.place.sheet, mark), []).append(item)
        else:
            alike = ("", "") if item.thousands else (item.setting, item.text)
            word = (item.place.file, item.place.sheet, *alike)
            worded.setdefault(word, []).append(item)
    stated = {
        (table.file, table.sheet): f"in its mapping, {table.mapping}" if table.mapping
        else f"in a mapping, {NAMED}"
        for table in (group.table for group in (*plan.nodes, *plan.further)) if table.file != plan.name
    }  # fmt: skip
    for (file, sheet, mark), items in marked.items():
        where = stated.get((file, sheet))
        problems.extend(_marked(items, mark, f"state `decimal: {mark!r}` {where}" if where else ""))
    for (file, sheet, _, _), items in worded.items():
        problems.extend(_worded(items, stated.get((file, sheet), "")))
    return problems


def _unclear(plan: LoadedPlan) -> Iterator[_Unclear]:
    """Yield texts that are not values, each with a device that would have it."""
    meanings = Meanings()
    given = gateways_texts(plan)
    for groups, inherited in ((plan.gateways, {}), (plan.nodes, given), (plan.further, None)):
        for group in groups:
            networks = list(dict.fromkeys(group.networks))
            for kind in [plan.types[name] for name in dict.fromkeys(group.types) if name in plan.types]:
                for setting in kind.settings:
                    if setting.kind != "secret":
                        yield from _in_table(group, kind, setting, meanings)
                        if inherited is not None:  # defaults come in where no table says anything
                            usual = {
                                one: default_text(plan, kind, setting, one, inherited) for one in networks
                            }
                            yield from _in_defaults(usual, group, kind, setting, meanings)


def _in_table(group: Group, kind: DeviceType, setting: Setting, meanings: Meanings) -> Iterator[_Unclear]:
    """Yield the unclear texts of one setting of one device type in the group's table."""
    column = group.table.columns.get(setting.name)
    if column is None:
        return
    memo = meanings.memo(setting, column.style)
    bad = {text for text in set(column.texts) if memo[text].state in NO_VALUE}
    for e in _entries(group, kind) if bad else ():
        if column.texts[e] in bad:
            yield _about(setting, group, e, memo[column.texts[e]], group.table.place(e, setting.name))


def _in_defaults(
    usual: Mapping[str, tuple[str, Place] | None],
    group: Group,
    kind: DeviceType,
    setting: Setting,
    meanings: Meanings,
) -> Iterator[_Unclear]:
    """Yield the unclear defaults of one setting that devices of a type get; `usual`: network → default."""
    memo = meanings.memo(setting, INLINE)
    bad = {network: default for network, default in usual.items()
           if default and memo[default[0]].state in NO_VALUE}  # fmt: skip
    for e in _entries(group, kind) if bad else ():
        default = bad.get(group.networks[e])
        if default and not group.text(e, setting.name).strip():
            yield _about(setting, group, e, memo[default[0]], default[1])


def _entries(group: Group, kind: DeviceType) -> list[int]:
    return [e for e, name in enumerate(group.types) if name == kind.name]


def _about(setting: Setting, group: Group, entry: int, value: Value, place: Place) -> _Unclear:
    note = value.note
    mend = next((mend for why, mend in OF_CELLS.items() if why in note), expected(setting))
    of_range = setting.role in ("deadband", *SETPOINTS)
    if of_range and "%" in (value.shown[-1:], setting.unit) and "cannot be converted" in note:
        mend = f"give a number in {setting.unit}, worked out from the range"
    if "has a unit, but" in note or f"{setting.unit!r} is not a known unit" in note:
        mend = f"correct the unit of {setting.name} in the device type, or give a number alone"
    return _Unclear(
        setting.name, f"{setting.name} of {bare(group.table.texts('tag')[entry])}", value.shown, place,
        without_advice(note), OTHER_MARK in note, mend, THOUSANDS in note,
    )  # fmt: skip


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
    """Return a number with the declared decimal mark, and without its mark if that may divide thousands.

    In a cell with several numbers, a mark behind which there is no digit, or before which there is another
    mark, may stand between them.
    """
    one = re.escape(mark)
    decimal = re.sub(rf"(?<!{one}){one}(?=\d|$)", "." if mark == "," else ",", item.text)
    if not re.match(rf"[-+]?[1-9]\d{{0,2}}{one}\d{{3}}(?!\d)", item.text):
        return decimal
    return f"{decimal}, or {item.text.replace(mark, '')} if the mark separates thousands"


def _worded(items: Sequence[_Unclear], where: str) -> list[Problem]:
    """Return a problem for each text that is not a value of its setting, or one for a word in many rows.

    `where` says where a mapping can translate it; empty for the plan itself, which has none.
    """
    if where and len(items) > MOST_APART:
        first = min(items, key=lambda item: item.place.row)
        message = f"{first.what}: {first.why}; {len(items) - 1:,} more are like it"
        states = f"say what it means, `values: {{{first.setting}: {{{as_yaml(first.text)}: …}}}}`"
        if first.thousands:
            states = "if it separates thousands, state `grouping` (and `decimal`)"
        return [first.place.problem(message, f"{first.expected}; or {states} {where}")]
    return [
        item.place.problem(f"{item.what}: {item.why}", f"{item.expected}; or - if nothing is planned")
        for item in items
    ]
