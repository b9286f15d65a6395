"""What was done to a node or its gateway, by the change records."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from typing import NamedTuple

from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.model.drift import ReadChange
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Target
from audit.model.table import Place
from audit.reading.gateway_names import gateway_names, network_meant
from audit.reading.identifiers import spelling

GONE = ("removed", "move", "retag")
"""After these the node is no longer where, or what, the plan says."""


class Done(NamedTuple):
    """Something that was done to a device, and when."""

    at: datetime.datetime
    words: str
    places: tuple[Place, ...]
    answer: str = "recent-work"
    """Which answer to the question about work it gives, if it was done shortly before the node was lost."""


def recorded(case: Case) -> Iterator[Done]:
    """Yield what the change records say was done to a node, its gateway or its whole network."""
    for read in case.examined.changes:
        answer = _answer(case, read)
        if answer:
            at = datetime.datetime.combine(read.change.date, datetime.time())
            yield Done(at, _words(read), (read.place,), answer)


def moved_away(case: Case) -> ReadChange | None:
    """Return the last record that a node was moved to another network, unless it has come back.

    Of several of one day that is the one to a network which no other of them leaves, or which is given last.
    """
    moves = [
        r for r in case.examined.changes if r.change.what == "move" and _answer(case, r) == "record-gone"
    ]
    last = max((read.change.date for read in moves), default=None)
    of_day = [read for read in reversed(moves) if read.change.date == last]
    if len(of_day) < 2:
        return of_day[0] if of_day else None
    names = gateway_names(case.site.plan.networks)
    left = {spelling(read.change.network) for read in of_day}
    ends = (read for read in of_day if spelling(network_meant(read.after, names)) not in left)
    return next(ends, of_day[0])


def unless_moved(
    gatherer: Callable[[Case], Answered | NotKnown | None], what: str, case: Case
) -> Answered | NotKnown | None:
    """Return an answer that holds the node against its planned gateway; not known if the node was moved away.

    It is to match the other gateway then. `what` is the question in words; if empty, it does not arise.
    """
    moved = moved_away(case)
    if moved is None:
        return gatherer(case)
    to = f"it was moved to {moved.after} on {moved.change.date} by change {moved.change.id}"
    return NotKnown(f"{what}: {to}") if what else None


def set_records(case: Case, target: Target, setting: str) -> list[ReadChange]:
    """Return the records by which a setting of a device, or of its whole network, was set, oldest first."""
    tag = case.site.planned_tag(target)
    found = [
        r for r in case.examined.changes
        if r.change.setting == setting and _here(case, r) and (not r.change.node or _is(r.change.node, tag))
    ]  # fmt: skip
    return sorted(found, key=lambda read: read.change.date)


def _answer(case: Case, read: ReadChange) -> str:
    """Return the answer that a record gives to the question about work; empty if it is about others."""
    change = read.change
    radio = change.what == "setting" and bool(_roles(case, read) & {*NETWORK_ROLES, "address"})
    if _came_here(case, read):
        return "recent-work"
    if _is_node(case, read):
        if change.what in GONE:
            return "recent-work" if _came_back(case, read) else "record-gone"
        if change.what == "exchange":
            return "record-exchanged"
        return "record-set" if radio else "recent-work"
    if _is(change.node, case.gateway_tag) and _here(case, read):
        return "record-gateway" if radio or change.what in ("exchange", *GONE) else "recent-work"
    if not change.node and _is(change.network, case.network):
        return "record-set" if radio else "recent-work"
    return ""


def _came_back(case: Case, read: ReadChange) -> bool:
    """Return whether a node that was removed or moved is back: by a later record, or heard at its gateway."""
    return _heard_since(case, read) or any(
        later.change.date >= read.change.date
        and (_came_here(case, later) or (later.change.what == "added" and _is_node(case, later)))
        for later in case.examined.changes
    )


def _heard_since(case: Case, read: ReadChange) -> bool:
    """Return whether its gateway heard a node long after a record, and that to which it was moved not since.

    It may be heard there for some days after the record, until that is carried out.
    """
    sightings = case.examined.lists.of(case.target) if read.change.what != "retag" else ()
    to = network_meant(read.after, gateway_names(case.site.plan.networks))
    here, there = (
        [one.last_heard for one in sightings if one.network == network and one.last_heard]
        for network in (case.network, to)
    )
    days = datetime.timedelta(days=case.causes.limits.recent_days)
    if not here or max(here).date() - read.change.date <= days:
        return False
    return not there or max(here) > max(there)


def _came_here(case: Case, read: ReadChange) -> bool:
    """Return whether a record moved a node to the network for which it is planned, or to its gateway."""
    if read.change.what != "move" or not _is_node(case, read):
        return False
    return _is(read.after, case.network) or _is(read.after, case.gateway_tag)


def _is_node(case: Case, read: ReadChange) -> bool:
    """Return whether a record names a node: in its network or, if it was moved on, where it was before that.

    The latter is a network for which no node of that tag is planned.
    """
    if not _is(read.change.node, case.tag) or _here(case, read):
        return _is(read.change.node, case.tag)
    nodes = case.examined.nodes.get(read.change.network, ())
    planned_there = any(_is(case.site.planned_tag(node), case.tag) for node in nodes)
    return read.change.what == "move" and not planned_there


def _here(case: Case, read: ReadChange) -> bool:
    return not read.change.network or _is(read.change.network, case.network)


def _is(name: str, other: str) -> bool:
    return bool(name) and spelling(name) == spelling(other)


def _roles(case: Case, read: ReadChange) -> set[str]:
    """Return the roles of the setting that a record names."""
    return {
        s.role for block in case.site.blocks for s in block.type.settings if s.name == read.change.setting
    }


def _words(read: ReadChange) -> str:
    change = read.change
    about = change.node or f"all of {change.network}"
    from_to = (f" from {read.before}" if read.before else "") + (f" to {read.after}" if read.after else "")
    done = {
        "setting": f"{change.setting} of {about} set{from_to}",
        "exchange": f"unit of {about} exchanged{from_to}",
        "move": f"{about} moved to {read.after}",
        "retag": f"{about} renamed {read.after}",
        "added": f"{about} added",
        "removed": f"{about} removed",
    }[change.what]
    return f"{done} on {change.date} by change {change.id}"
