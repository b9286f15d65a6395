"""A gateway's list as made at one time, and all lists of a site."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from audit.diagnosis.at_once import time
from audit.diagnosis.lists import Sighting
from audit.diagnosis.words import days_old
from audit.model.site import Target
from audit.phrases import listed


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A gateway's list as made at one time."""

    network: str
    when: str
    """Its day, or its time as written if there are several of that day; empty if it has neither."""
    at: datetime.datetime | None
    """The time of its newest row."""
    timed: bool
    """Whether that is more than the day."""
    sightings: Mapping[Target, Sighting]
    """Planned device → its newest row in it."""
    strangers: Sequence[Sighting]
    files: Sequence[str]
    read_at: str = ""
    """That time as written; empty if it is not."""
    at_nodes: bool = False
    """Whether people read all of it at the nodes, so that a node that is not in it was not read."""

    @property
    def size(self) -> int:
        """How many devices are in it."""
        return len(self.sightings) + len({s.place for s in self.strangers})

    def of_day(self, on: str = "") -> str:
        """Return its day, and how old it is on a date if one is given, to follow words about it."""
        return (f" of {self.when}" if self.when else "") + days_old(self.at, on)

    def unplanned(self) -> str:
        """Return which of its devices are not in the plan, to follow words about it; empty if all are."""
        names = {one.serial or one.tag for one in self.strangers}
        found = listed(sorted(filter(None, names)), 5)
        return f"; in that list, but not in the plan: {found}" if found else ""

    @property
    def day(self) -> str:
        """Its day, empty if it has none."""
        return self.at.date().isoformat() if self.at else ""


@dataclass(frozen=True, slots=True)
class Lists:
    """All lists of a site."""

    by_network: Mapping[str, Sequence[Snapshot]]
    """Network → the lists of its gateway, oldest first; networks without a list are left out.

    A gateway without a row in a file that lists several others has an empty list there: it hears no nodes.
    """
    assumed: Sequence[str]
    """What was taken for granted, in words."""
    doubts: Sequence[str]
    """What may hide that a node is missing, in words."""
    overtaken: Set[str]
    """Networks of gateways whose newest list is older than others: they may have lost nodes since."""
    foreign: Set[tuple[int, int]]
    """Table id and entry of the rows that list a node at a gateway for which it is not planned."""

    def newest(self, network: str) -> Snapshot | None:
        """Return the newest list of a gateway."""
        lists = self.by_network.get(network)
        return lists[-1] if lists else None

    def of(self, target: Target) -> list[Sighting]:
        """Return every row of a device in any list, oldest first."""
        found = [
            s for lists in self.by_network.values() for one in lists
            if (s := one.sightings.get(target)) is not None
        ]  # fmt: skip
        return sorted(found, key=time)
