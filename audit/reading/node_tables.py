"""Node tables: the nodes of one network, or of the whole site, in a separate file."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from audit.errors import InputProblems, Problem, nearest, stop
from audit.grouping import grouped
from audit.model.base import Position
from audit.model.device import DeviceType
from audit.model.plan import Network, NodeTable
from audit.model.table import RawColumn, Style, Table, tidied
from audit.phrases import counted, listed
from audit.reading.files import beside
from audit.reading.gateway_names import network_in_plan
from audit.reading.identifiers import bare
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import Group
from audit.reading.mappings import any_is_for, problem_in, read_mappings
from audit.reading.moments import day_alone
from audit.reading.quoting import as_yaml, quoted
from audit.reading.readback import NODE_TABLE, read_tables
from audit.reading.tables import need_identity
from audit.reading.times import not_times
from audit.reading.values import DITTO, is_number
from audit.reading.vocabulary import Vocabulary
from audit.reading.written_numbers import pattern, why_no_number, with_point

NUMBERS = (*Position.model_fields, "response_time_s")
"""Fields of a node that are numbers, and no settings."""
FARTHEST = {"latitude": 90, "longitude": 180}
"""Degrees from the equator, or from Greenwich."""
NO_TYPE = "has no device type"
NOT_A_NODE = "or, if that is not a node, leave the row out, with `leave_out` in a mapping"
GIVE_TYPE = "name it in a column type, or as the network's `node_type`, or under `constants` in a mapping"
NAME_ONCE = "name it once, under `node_tables` of the whole plan and with a column headed network"
ONE_NODE = "give each node a row of its own; or, if it is one node, write its tag on one line"
NO_NODE = (
    "give it one; or, if it is no node, remove the row, or name what it has under `leave_out` in a mapping"
)
MOST_OF_AN_ASIDE = 2
"""The most cells that are filled in a row that may be a title, a total or a remark."""
MOST_SHEETS = 3
"""How many sheets are named if a workbook has many."""


@dataclass(frozen=True, slots=True)
class Around:
    """What is needed to read a node table: the plan that names it, with its types and networks."""

    plan: Path
    name: str
    types: Mapping[str, DeviceType]
    networks: Mapping[str, Network]
    words: Vocabulary
    inputs: Inputs


def read_node_table(
    reference: NodeTable, line: int, network: str, around: Around
) -> tuple[list[Group], list[Problem]]:
    """Return the nodes of a table, and what is wrong with them.

    `network` is the network that names the table; it is empty for a table of the whole site, which has to
    name the network of each node. `line` is where the plan names the table.
    """
    groups: list[Group] = []
    problems: list[Problem] = []
    try:
        for table in tables_named(reference, line, around):
            need_identity(table, ("tag",))
            if not network and "network" not in table.columns:
                mend = "add a column headed network, or name the table under its network in the plan"
                raise stop("no column says which network a node belongs to", mend, file=table.file)
            networks = _networks(table, network, around, problems)
            types = _types(table, networks, around, problems)
            groups.append(Group(networks, table, types))
            problems.extend(bad_fields(table))
            problems.extend(_bad_tags(table))
    except InputProblems as found:
        problems.extend(found.problems)
    return groups, problems


def tables_named(reference: NodeTable, line: int, around: Around) -> list[Table]:
    """Return the tables in a file that the plan names on this line. Raises InputProblems."""
    maps = None
    if reference.mapping:
        mapping = beside(around.plan, reference.mapping, around.name, line)
        maps = read_mappings(mapping, around.inputs)
    path = beside(around.plan, reference.file, around.name, line)
    if maps and not any_is_for(maps, path.name):
        first = maps.mappings[0]
        message = f"no mapping here is for {quoted(path.name)}, for which the plan names this file"
        mend = "name the table under `files`, or leave `files` out"
        raise InputProblems([problem_in(first, ("files",), message, mend)])
    return [_with_points(table) for table in read_tables(path, maps, around.words, around.inputs, NODE_TABLE)]


def _with_points(table: Table) -> Table:
    """Return a table whose coordinates and response times are written with a point, whatever the file has."""
    pointed = {name: _with_point(table.columns[name]) for name in NUMBERS if name in table.columns}
    return replace(table, columns={**table.columns, **pointed})


def _with_point(column: RawColumn) -> RawColumn:
    style = column.style
    written = pattern(style.decimal, style.grouping)
    found = {text: written.fullmatch(tidied(text)) for text in set(column.texts)}
    meant = {text: with_point(tidied(text), one, style) for text, one in found.items() if one}
    return column.read_as(["" if style.is_blank(text) else meant.get(text, text) for text in column.texts])


def bad_fields(table: Table) -> Iterator[Problem]:
    """Yield a problem for every date, coordinate and response time of a table that cannot be one."""
    yield from _bad_dates(table)
    yield from _bad_numbers(table)


def read_twice(groups: Iterable[Group], plan: str) -> Iterator[Problem]:
    """Yield a problem for each file of which a table is read more than once: its nodes would occur twice.

    `plan` is the name of the plan itself, whose own nodes are not a table file.
    """
    tables = [group.table for group in groups if group.table.file != plan and group.table.rows]
    times = Counter((table.file, table.sheet, table.rows[0]) for table in tables)
    sheets = grouped((file, repr(sheet)) for (file, sheet, _), count in times.items() if count > 1)
    for file, names in sheets.items():
        message, mend = "the plan names it more than once, and it would be read each time", NAME_ONCE
        if names != [repr("")]:
            which = f"its sheet{'s' if names[1:] else ''} {listed(names, MOST_SHEETS)}"
            message = f"the plan names it more than once, and {which} would be read each time"
            mend += "; or for each network with its own mapping file, which states the network's `sheet`"
        yield Problem(message, mend, file)


def _bad_tags(table: Table) -> Iterator[Problem]:
    """Yield a problem for every row that does not name one node."""
    for entry, text in enumerate(map(str.strip, table.texts("tag"))):
        if not text:
            yield table.place(entry, "tag").problem("the node has no tag", NO_NODE)
        elif "\n" in text:
            yield table.place(entry, "tag").problem(f"{quoted(bare(text))} is on several lines", ONE_NODE)


def _bad_dates(table: Table) -> Iterator[Problem]:
    """Yield a problem for every day of installation that is not a date."""
    bad = {text for text in set(table.texts("installed_on")) if text.strip() and not day_alone(text)}
    yield from not_times(table, "installed_on", bad, "2026-03-31")


def _bad_numbers(table: Table) -> Iterator[Problem]:
    """Yield a problem for every coordinate and every response time that cannot be one."""
    for name in NUMBERS:
        if name not in table.columns:
            continue
        style = table.columns[name].style
        texts = list(map(str.strip, table.texts(name)))
        wrong = {text: _wrong_number(name, text, style) for text in set(texts) if text}
        alike = grouped((told, entry) for entry, text in enumerate(texts) if (told := wrong.get(text)))
        for (why, mend), entries in alike.items():
            message = f"{quoted(texts[entries[0]])} {why}"
            yield table.place(entries[0], name).problem(message + more_like(entries), mend)


def _wrong_number(name: str, text: str, style: Style) -> tuple[str, str] | None:
    """Return what is wrong with a coordinate or response time, and how to mend it; None if nothing is."""
    if not is_number(text):
        has_unit = pattern(style.decimal, style.grouping).fullmatch(text)
        why, _, mend = ("is not a number" if has_unit else why_no_number(text, style)).partition("; ")
        return why, mend or "write it as 1250 or 59.91, without a unit"
    if abs(float(text)) > FARTHEST.get(name, math.inf):
        return f"is not a {name}", f"give degrees, at most {FARTHEST[name]}"
    if name == "response_time_s" and float(text) <= 0:
        return "is impossible as a response time", "give seconds above 0, or leave it empty"
    return None


def _networks(table: Table, network: str, around: Around, problems: list[Problem]) -> list[str]:
    """Return the network of each row; a row with a network other than the table's is a problem."""
    named = {
        text: network_in_plan(bare(text), around.networks) or network for text in set(table.texts("network"))
    }
    texts = [named[text] for text in table.texts("network")]
    odd = {text for text in named.values() if text not in around.networks or (network and text != network)}
    misfits = grouped((text, entry) for entry, text in enumerate(texts if odd else ()) if text in odd)
    for text, entries in misfits.items():
        message = f"the node belongs to network {text!r}, but its table to {network!r}"
        mend = "move the row to that network's table"
        if text not in around.networks:
            tag = bare(table.texts("tag")[entries[0]])
            node = quoted(tag) if tag else "the node"
            message = f"unknown network {text!r}" if text else f"{node} has no network"
            known = nearest(text, around.networks)
            mend = known if text else f"name it; {known}; {NOT_A_NODE}"
        problems.append(table.place(entries[0], "network").problem(message + more_like(entries), mend))
    return texts


def _types(table: Table, networks: Sequence[str], around: Around, problems: list[Problem]) -> list[str]:
    """Return the device type of each row; its network's if the cell is empty."""
    usual = {name: its.node_type for name in set(networks) if (its := around.networks.get(name))}
    if "type" not in table.columns and all(usual.get(name) in around.types for name in set(networks)):
        return [usual[name] for name in networks]
    types = [
        bare(text) or usual.get(network, "")
        for text, network in zip(table.texts("type"), networks, strict=True)
    ]
    of_nodes = {name for name, kind in around.types.items() if kind.device != "gateway"}
    misfits = grouped(
        (name, entry) for entry, (name, network) in enumerate(zip(types, networks, strict=True))
        if network in around.networks and name not in of_nodes
    )  # fmt: skip
    problems.extend(_of_no_node(table, name, entries, around) for name, entries in misfits.items())
    return types


def more_like(entries: Sequence[object]) -> str:
    """Return how many more rows are like the first of some; blank if it is the only one."""
    return f"; {counted(len(entries) - 1, 'more row')} like it" if entries[1:] else ""


def _of_no_node(table: Table, name: str, entries: Sequence[int], around: Around) -> Problem:
    """Return one problem for all rows with the same type, which is unknown, missing, or that of a gateway."""
    first, more = entries[0], more_like(entries)
    place = table.place(first, "type")
    if name in around.types:
        message = f"device type {name!r} is that of a gateway, and this is a table of nodes{more}"
        return place.problem(message, "correct the type; or leave the row out, with `leave_out` in a mapping")
    if name in DITTO:
        message = f"{name} is a ditto mark, not a device type{more}"
        return place.problem(message, "write the type in every row")
    message = f"unknown device type {name!r}{more}" if name else f"the node {NO_TYPE}{more}"
    filled = sum(bool(column.texts[first].strip()) for column in table.columns.values())
    aside = "remove the row if it is not a node; " if filled <= MOST_OF_AN_ASIDE else ""
    aside += "" if name else f"{GIVE_TYPE}; "
    meant = f"; or say what it means, `values: {{type: {{{as_yaml(name)}: …}}}}` in a mapping" if name else ""
    of_nodes = [one for one, kind in around.types.items() if kind.device == "node"]
    return place.problem(message, aside + nearest(name, of_nodes) + meant)
