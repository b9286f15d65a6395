"""Missing nodes: planned, but not in their gateway's list, or silent there; silent gateways first."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from audit.diagnosis.examined import Case, Examined
from audit.diagnosis.lists import Sighting, names_of
from audit.diagnosis.words import duration
from audit.model.finding import Hit
from audit.model.site import Target
from audit.phrases import listed
from audit.reading.heard import NEVER, written_time
from audit.reading.moments import FARTHEST_OFFSET, is_later
from audit.reading.values import seconds_of

State = Literal["heard", "silent", "not listed", "not known"]


def silent_after_s(examined: Examined, target: Target) -> float:
    """Return the seconds after which a node counts as silent: a number of its report intervals."""
    limits = examined.causes.limits
    block = examined.site.blocks[target[0]]
    for setting in block.settings("report_interval"):
        for side in ("found", "planned"):  # a node reports as it is set, not as it should be
            if seconds := seconds_of(block.value(side, setting.name, target[1]), setting):
                return limits.silent_intervals * seconds
    return 60 * limits.silent_minutes


def state_of(examined: Examined, target: Target) -> tuple[State, Sighting | None]:
    """Return the state of a node by its gateway's newest list, and the row that shows it."""
    network = examined.site.blocks[target[0]].networks[target[1]]
    newest = examined.lists.newest(network)
    if newest is None:
        return "not known", None
    seen = newest.sightings.get(target)
    if seen is None:
        return "not known" if newest.at_nodes else "not listed", None
    if seen.heard_s is not None and seen.heard_s > silent_after_s(examined, target):
        return "silent", seen
    return "heard", seen


def read_since(examined: Examined, target: Target) -> str:
    """Return when a node was read that is missing from its gateway's newest list, if that list is older.

    Such a list does not show whether the node has joined since. Empty if the list is not older.
    """
    block = examined.site.blocks[target[0]]
    newest = examined.lists.newest(block.networks[target[1]])
    if newest is None or target in newest.sightings:
        return ""
    rows = block.rows_read(target[1])
    times = [table.texts("read_at")[entry].strip() for table, entry in rows]
    return next((time for time in reversed(times) if is_later(time, newest.read_at)), "")


def lost_between(case: Case) -> tuple[datetime.datetime, datetime.datetime] | None:
    """Return the times between which a node was lost; None if the lists do not show them.

    A node is lost if it is silent in its gateway's newest list, or missing from a list after one that had it.
    """
    state, seen = state_of(case.examined, case.target)
    if state == "silent" and seen and seen.at and seen.heard_s not in (None, NEVER):
        try:
            at = seen.at - datetime.timedelta(seconds=seen.heard_s)
        except OverflowError:  # some gateways write the largest number that they have for "never"
            return None
        return at, at
    own = [
        s.at for s in case.examined.lists.of(case.target)
        if s.network == case.network and s.at and s.heard_s != NEVER
    ]  # fmt: skip
    if state not in ("not listed", "silent") or not own:
        return None
    without = [
        one for one in case.examined.lists.by_network[case.network]
        if one.at and one.at > own[-1] and not one.at_nodes
    ]  # fmt: skip
    until = without[0].at if without and without[0].at else own[-1]
    if without and without[0].timed:
        return own[-1], until
    return own[-1], until + min(datetime.timedelta(days=1), datetime.datetime.max - until)


@dataclass(frozen=True, slots=True)
class MissingAt:
    """The nodes missing at one gateway."""

    network: str
    gateway: str
    planned: int
    silent_gateway: bool
    """Whether none of its nodes is heard, so that the gateway comes first."""
    why: str
    nodes: Sequence[tuple[Target, State]]


def missing(examined: Examined) -> tuple[list[MissingAt], list[str]]:
    """Return the gateways with missing nodes, silent ones first, and what to say of those without a list."""
    found, unknown = [], []
    for network, (b, i) in examined.site.gateways.items():
        tag = examined.site.blocks[b].tags[i]
        nodes = [(t, state_of(examined, t)[0]) for t in examined.nodes.get(network, ())]
        if nodes and all(state == "not known" for _, state in nodes):
            unknown.append(f"{tag} ({network}): {_no_list(examined, network, tag)}")
            continue
        not_read = [examined.site.blocks[t[0]].tags[t[1]] for t, state in nodes if state == "not known"]
        if not_read:
            words = "no list of it was given, and nobody has read whether"
            unknown.append(f"{tag} ({network}): {words} {listed(not_read, 5)} had joined")
        lost = [(t, state) for t, state in nodes if state in ("silent", "not listed")]
        if lost:
            silent = len(lost) == len(nodes) and len(nodes) > 1
            found.append(MissingAt(network, tag, len(nodes), silent, _why(examined, network), lost))
    return sorted(found, key=lambda one: not one.silent_gateway), unknown


def _no_list(examined: Examined, network: str, tag: str) -> str:
    """Return that a gateway has no list, what that may mean, and in what the gateway is off plan."""
    naming = names_of(examined.site, "joined_gateway").keys()
    newest = [row for lists in examined.lists.by_network.values() for row in lists[-1].sightings.values()]
    several = dict.fromkeys(
        row.table.file for row in newest if naming & row.table.columns.keys() and not row.at_node
    )
    hears = f"; if {listed(list(several), 3)} covers all gateways, it hears no nodes" if several else ""
    words = f"no list of it was given, so it is not known which nodes are missing{hears}"
    return "; ".join([words, *(hit.message for hit in off_plan_hits(examined, network, tag))])


def last_heard(examined: Examined, there: MissingAt) -> str:
    """Return how long before its list a silent gateway had heard the last of its nodes; empty if not known.

    If a point in time says so, the gateway's clock may be behind that of whoever noted the time of reading.
    """
    seen = [one for target, _ in there.nodes if (one := state_of(examined, target)[1])]
    ages = [(one.heard_s, one.heard) for one in seen if one.heard_s not in (None, NEVER)]
    if not ages:
        return ""
    seconds, written = min(ages)
    clock = seconds < FARTHEST_OFFSET.total_seconds() and written_time(written)
    words = f"; it had heard the last of them {duration(seconds)} before"
    return words + (", unless its clock is behind by as much" if clock else "")


def off_plan_hits(examined: Examined, network: str, tag: str) -> list[Hit]:
    """Return what was found off plan at a gateway."""
    noticed = examined.noticed.get((network, tag), ())
    return [one.found.hit for one in noticed if one.found.rule.id == "gateway-off-plan"]


def _why(examined: Examined, network: str) -> str:
    newest = examined.lists.by_network[network][-1]
    files = ", ".join(newest.files) + newest.of_day(examined.on)
    if not newest.size and len(examined.site.gateways) == 1:
        return f"{files} lists no nodes"
    at_nodes = {row.table.file for row in newest.sightings.values() if row.at_node} - {*newest.files}
    files += f", and to what was read at its nodes since: {listed(sorted(at_nodes), 3)}" if at_nodes else ""
    return f"according to {files}" if newest.size else f"it has no row in {files}, which lists other gateways"
