"""A site ready for diagnosis: paired, its lists read, and with what the rules found on each device."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from pathlib import Path

from audit.checking import Found, check
from audit.comparing import compare_all
from audit.diagnosis.exchanges import Exchanges, last_exchanges
from audit.diagnosis.lists import names_of, shown_at, time_of
from audit.diagnosis.one_clock import on_one_clock, several_clocks
from audit.diagnosis.read_at_nodes import is_read_at_node, sheets_of
from audit.diagnosis.snapshot import Lists
from audit.diagnosis.snapshots import lists_of
from audit.errors import stop
from audit.folding.registry import fold
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.drift import ReadChange
from audit.model.in_block import InBlock
from audit.model.joining import CausesFile
from audit.model.result import Naming
from audit.model.rows import Rows
from audit.model.rule import Rule
from audit.model.site import Block, Site, Target
from audit.model.table import Table
from audit.model.value import Value
from audit.pairing.pair import pair
from audit.reading.changes import read_changes
from audit.reading.gateway_lists import LIST_SETTINGS, list_words
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.reading.quoting import cut
from audit.reading.readback import GATEWAY_LIST, read_readback
from audit.reading.rules import read_rulebook
from audit.reading.vocabulary import Vocabulary, vocabulary


@dataclass(frozen=True, slots=True)
class Files:
    """What a diagnosis is made from."""

    plan: Path
    readback: Sequence[Path] = ()
    gateway_lists: Sequence[Path] = ()
    mapping: Path | None = None
    changes: Sequence[Path] = ()
    on: str = ""
    """The date of the run: that of an empty list, and the last on which anything can have been done."""


@dataclass(frozen=True, slots=True)
class Noticed:
    """What a rule found on a device, and how the value may have been mis-keyed."""

    found: Found
    naming: Naming | None


@dataclass(frozen=True, slots=True)
class Examined:
    """Everything that is known of a site."""

    site: Site
    lists: Lists
    noticed: Mapping[tuple[str, str], Sequence[Noticed]]
    """Network and tag → what rules found there, in the readback."""
    causes: CausesFile
    newest: datetime.datetime | None
    """The time of the newest row of any file; the day of the run if no row has one."""
    changes: Sequence[ReadChange] = ()
    """The change records, without those of days after the run."""
    exchanges: Exchanges = field(default_factory=dict)
    """The last exchange of each device that was exchanged."""
    nodes: Mapping[str, Sequence[Target]] = field(default_factory=dict)
    """Network → its planned nodes."""
    on: str = ""
    """The date of the run; empty if the age of lists is of no interest."""
    several_clocks: bool = False
    """Whether some times of reading state their offset from UTC and others do not."""
    sheets: Set[int] = frozenset()
    """The ids of the tables that people filled in at the nodes."""

    def gateway_of(self, network: str) -> str:
        """Return what reports call the gateway of a network."""
        if network not in self.site.gateways:
            return "a gateway that is not in the plan"
        return f"{self.site.planned_tag(self.site.gateways[network])} ({network})"

    def case(self, target: Target) -> Case:
        """Return one node of it."""
        return Case(self.site.blocks[target[0]], target[1], self, target)


def examine(files: Files, causes: CausesFile, inputs: Inputs) -> Examined:
    """Return what is known of a site. Raises InputProblems."""
    plan = read_plan(files.plan, inputs)
    if not plan.nodes:
        message = "the plan has no nodes, so none can be missing"
        raise stop(message, "add `nodes` or `node_tables`", file=plan.name)
    words = vocabulary(plan.types.values())
    changes = _done_by(files.on, read_changes(files.changes, list(plan.types.values()), inputs), inputs)
    lists, names = files.gateway_lists, plan.file.site.names
    tables = read_readback(files.readback, files.mapping, words, names, inputs, others=lists)
    given = read_readback(lists, files.mapping, list_words(words), names, inputs, GATEWAY_LIST)
    _refuse_other_tables(given, words)
    written = [*tables, *given]
    every = on_one_clock(written)
    given = every[len(tables) :]
    site = pair(plan, every, inputs.codes)
    _refuse_lists_of_nobody(given, site)
    rows = [(table, entry) for table in every for entry in range(len(table.rows))]
    times = [time for table, entry in rows if (time := time_of(table, entry))]
    exchanges = last_exchanges(site, changes)
    return Examined(
        site,
        lists_of(site, given, exchanges, files.on),
        _noticed(site, read_rulebook((), plan.types.values()).rules),
        causes,
        max(times, default=datetime.datetime.fromisoformat(files.on) if files.on else None),
        changes,
        exchanges,
        site.nodes(),
        files.on,
        several_clocks(written),
        sheets_of(site, {id(table) for table in given}),
    )


def _noticed(site: Site, rules: Sequence[Rule]) -> Mapping[tuple[str, str], Sequence[Noticed]]:
    """Return network and tag → what the rules found on each device in the readback."""
    checked = check(site, compare_all(site.blocks), rules)
    items, causes = fold(site, checked.found, rules)
    named: Mapping[int, Naming] = {}
    if site.readback and items:
        from audit.slips.naming import name_slips

        named = name_slips(site, items, causes)
    return grouped(
        ((item.hit.network, item.hit.node), Noticed(item, named.get(i)))
        for i, item in enumerate(items)
        if item.hit.side == "found" and item.hit.node
    )


def _done_by(on: str, changes: Sequence[ReadChange], inputs: Inputs) -> Sequence[ReadChange]:
    """Return the change records of what was done by the date of the run, and warn of the others."""
    is_later = grouped((bool(on) and read.change.date.isoformat() > on, read) for read in changes)
    about = f"is dated after the day of this run, {on}: it does not count"
    mend = "if it has been done, correct its date, or that of the run (--on)"
    inputs.warn(read.place.problem(f"{read.words()}, {about}", mend) for read in is_later[True])
    return is_later[False]


def _refuse_other_tables(given: Sequence[Table], words: Vocabulary) -> None:
    """Raise InputProblems for a readback given as a list: all of its nodes would count as joined."""
    known = list_words(words)
    of_lists = {known.field(role) for role in LIST_SETTINGS}
    for table in given:
        settings = [name for name in table.columns if name in known.settings]
        if settings and not of_lists & set(settings):
            message = f"is not a gateway's list: it has {cut(', '.join(settings))}"
            mend = "give it as READBACK; a list has gateway, last_heard or rssi, or only names nodes"
            raise stop(message, mend, file=table.file, sheet=table.sheet)


def _refuse_lists_of_nobody(given: Sequence[Table], site: Site) -> None:
    """Raise InputProblems for a list without rows where the plan has several gateways."""
    for table in given:
        if not table.rows and len(site.gateways) > 1:
            message = f"lists no nodes, and does not say which of the {len(site.gateways)} gateways it is of"
            mend = (
                "leave it out; if a gateway shows this, ask about one of its nodes with --saw siblings-silent"
            )
            raise stop(message, mend, file=table.file, sheet=table.sheet)


@dataclass(frozen=True, slots=True)
class Case(InBlock):
    """One node of a site."""

    examined: Examined
    target: Target

    @property
    def site(self) -> Site:
        """The site that it belongs to."""
        return self.examined.site

    @property
    def causes(self) -> CausesFile:
        """The causes considered."""
        return self.examined.causes

    @property
    def gateway(self) -> tuple[Block, int]:
        """The block of its gateway, and the gateway's place there."""
        b, i = self.site.gateways[self.network]
        return self.site.blocks[b], i

    @property
    def exchange(self) -> ReadChange | None:
        """The record of the last exchange of its unit, if there is one."""
        return self.examined.exchanges.get(self.target)

    @property
    def rows(self) -> Rows:
        """Its rows, oldest reading first; none if it was not read."""
        return self.block.rows_read(self.i)

    @property
    def gateway_tag(self) -> str:
        """The tag of its gateway."""
        return self.site.planned_tag(self.site.gateways[self.network])

    def planned(self, setting: Setting) -> Value:
        """Return its planned value of a setting."""
        return self.block.value("planned", setting.name, self.i)

    def as_of(self, table: Table, entry: int, setting: Setting | None = None) -> datetime.datetime | None:
        """Return when the node was as a row shows it, or shows a setting; None if that is not known.

        What a gateway shows is as old as the node's last message to it; what a person read at the node is
        not, be the node silent or not, unless the person had it from the gateway, as its signal.
        """
        at_node = is_read_at_node(table, entry, self.examined.sheets)
        if at_node and not (setting and (setting.read_at == "gateway" or setting.role == "rssi")):
            return time_of(table, entry)
        return shown_at(table, entry, names_of(self.site, "last_heard"))

    def noticed(self, rules: Sequence[str]) -> list[Noticed]:
        """Return what some rules found on it."""
        here = self.examined.noticed.get((self.network, self.tag), ())
        return [one for one in here if one.found.rule.id in rules]

    def siblings(self) -> list[Target]:
        """Return the other planned nodes of its network."""
        return [target for target in self.examined.nodes[self.network] if target != self.target]
