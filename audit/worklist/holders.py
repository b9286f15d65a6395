"""Holders: which device has which radio settings and address, before the work and while it goes on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import accumulate
from typing import NamedTuple

from audit.reading.identifiers import natural

ADDRESS = "address"
CHANNEL = "channel"
OWN = "own"
"""Marks the place of a device at its own address."""

Key = tuple[str, str, str]
"""Network, tag and serial number: the identity of a device, whatever the order of the input."""
State = Mapping[Key, "Holder"]
Cell = tuple[Hashable, ...]
"""A place on the air. Two devices that share one answer as one device."""


class Set(NamedTuple):
    """One setting keyed in: `address`, or the role of a radio setting, from one content to another."""

    role: str
    before: Hashable
    after: Hashable


@dataclass(frozen=True, slots=True)
class Holder:
    """A device as it is set: its radio by role, its address, and addresses that it may hold as well."""

    network: str
    gateway: bool = False
    radio: Mapping[str, Hashable] = field(default_factory=dict)
    """Role → content, of the radio settings that it has."""
    address: Hashable = None
    also: frozenset[Hashable] = frozenset()
    """Addresses that it may hold instead, being silent or not read."""
    planned: bool = True
    """Whether it is in the plan; one that is not still occupies its place, but need not be heard."""

    def cells(self) -> set[Cell]:
        """Return the places that it occupies.

        Devices share a place if their channel and address are the same, and they are in one network or have
        all other radio settings in common too: networks far apart may share a channel. The place at its own
        address is there a second time, marked as such: at the others it only may be.
        """
        addresses = {self.address, *self.also} - {None}
        channel, radio = self.radio.get(CHANNEL), tuple(sorted(self.radio.items(), key=lambda one: one[0]))
        cells: set[Cell] = {("network", self.network, channel, address) for address in addresses}
        cells |= {("radio", radio, address) for address in addresses if channel is not None}
        return cells | {(OWN, *cell) for cell in cells if cell[-1] == self.address}

    def get(self, role: str) -> Hashable:
        """Return the content of `address` or of a radio setting."""
        return self.address if role == ADDRESS else self.radio.get(role)

    def after(self, change: Set) -> Holder:
        """Return it with one setting keyed in; once its address is set, it is known to hold only that one."""
        if change.role == ADDRESS:
            return replace(self, address=change.after, also=frozenset())
        return replace(self, radio={**self.radio, change.role: change.after})


def after_all(holder: Holder, changes: Iterable[Set]) -> list[Holder]:
    """Return a holder as it is after each of some changes."""
    return list(accumulate(changes, Holder.after, initial=holder))[1:]


def gateways(state: State) -> dict[str, Key]:
    """Return network → its gateway."""
    return {holder.network: key for key, holder in state.items() if holder.gateway}


def hears(gateway: Holder, node: Holder) -> bool:
    """Return whether a gateway hears a node: all radio settings that both have are the same."""
    return all(
        gateway.radio[role] == content for role, content in node.radio.items() if role in gateway.radio
    )


def heard(state: State) -> set[Key]:
    """Return the planned nodes that their own gateway hears."""
    of = gateways(state)
    return {
        key
        for key, holder in state.items()
        if holder.planned
        and not holder.gateway
        and holder.network in of
        and hears(state[of[holder.network]], holder)
    }


def taken(state: State) -> dict[Cell, set[Key]]:
    """Return place → the devices there."""
    found: dict[Cell, set[Key]] = defaultdict(set)
    for key, holder in state.items():
        for cell in holder.cells():
            found[cell].add(key)
    return found


def newly_beside(places: Mapping[Cell, set[Key]], key: Key, old: Holder, new: Holder) -> set[Key]:
    """Return who shares a place with a device as it is now, and did not as it was.

    Of one network two on one channel and address share a place, whatever else of their radio differs. Where
    it no longer does, they meet anew: a gateway that heard one of them now hears both. So do two at one
    address of which one was so far only at an address that the other, being silent, may hold as well.
    """
    cells = new.cells()
    there = sharing(places, key, cells)
    if not there:  # as nearly always
        return there
    left = old.cells()
    beside = there - sharing(places, key, left)
    for kind in ("radio", OWN):
        were, are = (sharing(places, key, (cell for cell in of if cell[0] == kind)) for of in (left, cells))
        beside |= are - were
    return beside


def sharing(places: Mapping[Cell, set[Key]], key: Key, cells: Iterable[Cell]) -> set[Key]:
    """Return the devices, other than this one, at some places."""
    return {other for cell in cells for other in places.get(cell, ())} - {key}


def key_order(key: Key) -> tuple[object, ...]:
    """Return the sort key of a device: network, tag, serial number."""
    return tuple(map(natural, key))
