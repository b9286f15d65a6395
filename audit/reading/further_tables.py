"""Further tables: more about devices that the plan names elsewhere, such as a register of alarms."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from audit.errors import InputProblems, Problem, nearest
from audit.grouping import grouped
from audit.model.plan import FurtherTable, PlanFile
from audit.model.table import Table
from audit.phrases import counted, listed
from audit.reading.gateway_names import network_in_plan
from audit.reading.identifiers import bare, spelling
from audit.reading.loaded_plan import Group, Row
from audit.reading.marks import Document, Path
from audit.reading.node_tables import Around, bad_fields, more_like, tables_named
from audit.reading.quoting import quoted
from audit.reading.tables import need_identity

MOST_STRANGE = 3
"""How many rows about no device of the plan are reported singly: more may mean a table of the whole works."""
OTHERS = "if it is about other devices too, say `other_devices: true` beside its `file` in the plan"
NO_DEVICE = "give its tag; or, if it is about no device, remove it, or name what it has under `leave_out`"
SAME = "write it the same, or translate it with `values: {{{}: …}}` in a mapping"
SAY_WHERE = "add a column headed network, or name the table under its network in the plan"


class Reference(NamedTuple):
    """A further table as the plan names it."""

    table: FurtherTable
    line: int
    network: str
    """The network that names it; empty for one of the whole site."""


class _Entry(NamedTuple):
    """A device of the plan: a group, and an entry of it."""

    group: int
    entry: int


@dataclass(frozen=True, slots=True)
class _Devices:
    """The devices of the plan by their names."""

    groups: Sequence[Group]
    by_tag: Mapping[str, Sequence[_Entry]]
    by_serial: Mapping[str, Sequence[_Entry]]
    spelt: Mapping[str, Sequence[str]]
    """Spelling → tags."""

    def network(self, device: _Entry) -> str:
        return self.groups[device.group].networks[device.entry]

    def type(self, device: _Entry) -> str:
        return self.groups[device.group].types[device.entry]


def references(plan: PlanFile, document: Document) -> list[Reference]:
    """Return the further tables that a plan names, for its networks and then for the whole site."""
    named: list[tuple[Path, str, Sequence[FurtherTable]]] = [
        (("networks", n), network.name, network.further_tables) for n, network in enumerate(plan.networks)
    ]
    return [
        Reference(table, document.mark((*steps, "further_tables", i)).line, network)
        for steps, network, tables in (*named, ((), "", plan.further_tables))
        for i, table in enumerate(tables)
    ]


def with_further(
    named: Sequence[Reference],
    gateways: Sequence[Group],
    nodes: Sequence[Group],
    around: Around,
    problems: list[Problem],
) -> tuple[list[Group], list[Group], list[Group]]:
    """Return gateways and nodes with the rows of further tables about them, and these tables.

    What is wrong with the tables is added to `problems`.
    """
    if not named:
        return list(gateways), list(nodes), []
    groups = [*gateways, *nodes]
    devices = _devices(groups)
    rows: list[tuple[_Entry, Row]] = []
    further: list[Group] = []
    for reference in named:
        try:
            for table in tables_named(reference.table, reference.line, around):
                need_identity(table, ("tag", "serial"))
                about = _about(table, reference, devices, around, problems)
                problems.extend(bad_fields(table))
                problems.extend(_other_types(table, about, devices))
                rows += [(device, Row(table, e)) for e, of_row in enumerate(about) for device in of_row]
                further.append(_as_group(table, about, devices))
                around.inputs.tell(table.file, _told(table, about, devices, around))
        except InputProblems as found:
            problems.extend(found.problems)
    of_device = grouped(rows)
    joined = [
        replace(group, further={e: of_device[one] for e in range(len(group.types))
                                if (one := _Entry(g, e)) in of_device})
        for g, group in enumerate(groups)
    ]  # fmt: skip
    return joined[: len(gateways)], joined[len(gateways) :], further


def _as_group(table: Table, about: Sequence[Sequence[_Entry]], devices: _Devices) -> Group:
    """Return a further table with network and type of the device that each row is about; blank if none."""
    firsts = [next(iter(of_row), None) for of_row in about]
    return Group(
        [devices.network(one) if one else "" for one in firsts],
        table,
        [devices.type(one) if one else "" for one in firsts],
    )


def _devices(groups: Sequence[Group]) -> _Devices:
    entries = [_Entry(g, e) for g, group in enumerate(groups) for e in range(len(group.types))]
    tags, serials = (
        grouped(
            (text, one) for one in entries
            if (text := bare(groups[one.group].table.texts(name)[one.entry]))
        )
        for name in ("tag", "serial")
    )  # fmt: skip
    return _Devices(groups, tags, serials, grouped((spelling(tag), tag) for tag in tags))


def _about(
    table: Table, reference: Reference, devices: _Devices, around: Around, problems: list[Problem]
) -> list[Sequence[_Entry]]:
    """Return the devices that each row is about: usually one, and several if the plan repeats it."""
    about: list[Sequence[_Entry]] = []
    strange: list[Problem] = []
    meant = {text: network_in_plan(bare(text), around.networks) for text in set(table.texts("network"))}
    owns = [meant[text] for text in table.texts("network")]
    for e, (tag, serial, own) in enumerate(
        zip(*(map(bare, table.texts(name)) for name in ("tag", "serial")), owns, strict=True)
    ):
        network = own or reference.network
        there = _named(tag, serial, network, devices)
        networks = list(dict.fromkeys(map(devices.network, there)))
        place = table.place(e, "tag" if tag or not serial else "serial")
        if not tag and not serial:
            problems.append(place.problem("the row has neither tag nor serial number", NO_DEVICE))
        elif own and reference.network not in ("", own):
            message = f"the row is of network {own!r}, but its table of {reference.network!r}"
            problems.append(place.problem(message, "name the table for the whole site, or correct the row"))
        elif len(networks) > 1:
            message = f"{quoted(tag or serial)} is in {len(networks)} networks: {listed(networks)}"
            problems.append(place.problem(message, SAY_WHERE))
        elif not there and (wrong := _written_otherwise(tag, serial, own, devices)):
            field, message, mend = wrong
            problems.append(table.place(e, field).problem(message, mend))
        elif not there:
            of = f" of network {network!r}" if network else " of this plan"
            near = nearest(tag, devices.by_tag) if tag else nearest(serial, devices.by_serial)
            message = f"{quoted(tag or serial)} is no device{of}"
            strange.append(place.problem(message, f"{near}; or, {OTHERS}"))
        about.append(there if len(networks) == 1 else ())
    if not reference.table.other_devices:
        problems.extend(_few(strange))
    return about


def _named(tag: str, serial: str, network: str, devices: _Devices) -> list[_Entry]:
    """Return the devices that a row names: of several with its tag, the one with its serial number."""
    numbered = devices.by_serial.get(serial, ())
    named = devices.by_tag.get(tag, ()) if tag else numbered
    there = [one for one in named if network in ("", devices.network(one))]
    return [one for one in there if one in numbered] or there


def _written_otherwise(tag: str, serial: str, network: str, devices: _Devices) -> tuple[str, str, str] | None:
    """Return field, fault and mend of a row that may be about a device of the plan but names it otherwise.

    Such a row is not passed over, even where a table is about other devices too.
    """
    new = tag and tag not in devices.by_tag
    if new and (alike := devices.spelt.get(spelling(tag), ())):
        message = f"{quoted(tag)} is written {listed(alike)} elsewhere in the plan"
        return "tag", message, SAME.format("tag")
    if new and (others := devices.by_serial.get(serial, ())):
        tags = [bare(devices.groups[one.group].table.texts("tag")[one.entry]) for one in others]
        message = f"the plan has no {quoted(tag)}, and the serial number is that of {listed(tags)}"
        return "serial", message, "correct the tag or the serial number; or remove the row"
    known = dict.fromkeys(name for group in devices.groups for name in group.networks)
    if network not in known and (alike := [name for name in known if spelling(name) == spelling(network)]):
        message = f"network {network!r} is written {listed(alike)} elsewhere in the plan"
        return "network", message, SAME.format("network")
    return None


def _few(strange: Sequence[Problem]) -> Iterable[Problem]:
    """Return problems with rows about no device: one for all of them if they are many."""
    if len(strange) <= MOST_STRANGE:
        return strange
    return [replace(strange[0], message=strange[0].message + more_like(strange))]


def _other_types(table: Table, about: Sequence[Sequence[_Entry]], devices: _Devices) -> Iterable[Problem]:
    """Yield a problem for each row with another device type than that of its device."""
    for e, text in enumerate(map(bare, table.texts("type"))):
        for kind in {devices.type(one) for one in about[e]} - {text} if text else ():
            message = f"device type {text!r}, but elsewhere in the plan it is {kind!r}"
            mend = "correct one of them, or ignore the column in a mapping"
            yield table.place(e, "type").problem(message, mend)


def _told(table: Table, about: Sequence[Sequence[_Entry]], devices: _Devices, around: Around) -> str:
    """Return what the list of inputs says of a further table."""
    names = [name for name in table.columns if name in around.words.settings]
    number = len({one for of_row in about for one in of_row})
    others = sum(not of_row for of_row in about)
    said = f"more about {number} of {counted(sum(len(group.types) for group in devices.groups), 'device')}"
    if names:
        said += f": {listed(names)}"
    return said + (f"; {counted(others, 'row')} about other devices passed over" if others else "")
