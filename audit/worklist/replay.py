"""Replay: a work list carried out step by step on the devices as found, and what goes wrong on the way.

This is the list's own check; it knows nothing of how the list was made.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from audit.grouping import grouped
from audit.worklist.holders import (
    ADDRESS,
    Cell,
    Holder,
    Key,
    Set,
    State,
    gateways,
    heard,
    key_order,
    newly_beside,
    taken,
)


@dataclass(frozen=True, slots=True)
class Turn:
    """A step as the replay needs it: the settings that it keys in, in this order, and its minutes."""

    number: int
    device: Key | None = None
    changes: tuple[Set, ...] = ()
    minutes: float = 0.0
    needs: tuple[int, ...] = ()
    unlocks: bool = False
    """Whether it begins with unlocking the menu."""
    at_menu: bool = False
    """Whether something is keyed in at the menu, about the radio or not."""
    locked_after: bool | None = None
    """Whether it ends with the menu locked; None if it leaves the lock alone."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What goes wrong, and in which step; step 0 stands for the end of the list."""

    step: int
    says: str
    devices: Collection[Key] = ()
    """The devices that are named next; put in words only if asked for, since there may be thousands."""
    then: str = ""

    @property
    def what(self) -> str:
        """What goes wrong, in words."""
        names = (tag or serial for _, tag, serial in sorted(self.devices, key=key_order))
        return f"{self.says}{', '.join(names)}{self.then}"


@dataclass(frozen=True, slots=True)
class Replayed:
    """What became of the devices."""

    fault: Fault | None
    end: State
    blind_minutes: Mapping[str, float]
    """Network → minutes in which nodes were not heard, added up over its nodes, while the list was done."""


def replay(start: State, turns: Sequence[Turn], locked: Collection[Key] = ()) -> Replayed:
    """Carry out all turns, and return the first fault and what became of the devices.

    `locked` are the devices whose menu was found locked. Faults are: a step that comes before one that it
    needs; a setting that is not what the step expects to find; a menu that is locked when it is needed, or
    left unlocked; two devices that come to share a channel and address and did not before; a node that loses
    its gateway although nothing about its radio had to change, or that is left without one.
    """
    now, places = dict(start), taken(start)
    end = _end(start, turns)
    may_be_lost = {key for key, holder in start.items() if holder.radio != end[key].radio}
    faults: list[Fault | None] = []
    shut, opened = set(locked), set[Key]()
    blind: dict[str, float] = defaultdict(float)
    done: set[int] = set()
    members = grouped((holder.network, key) for key, holder in start.items())
    hears = {network: heard({key: now[key] for key in keys}) for network, keys in members.items()}
    gateway_of = gateways(start)
    nodes = Counter(one.network for one in start.values() if one.planned and not one.gateway)
    for turn in turns:
        faults += [
            Fault(turn.number, f"comes before step {n}, which it needs") for n in turn.needs if n not in done
        ]
        for network, those in hears.items():
            blind[network] += (nodes[network] - len(those)) * turn.minutes
        faults.append(_at_lock(shut, opened, turn))
        for change in turn.changes:
            faults.append(_keyed(now, places, turn, change))
        if turn.device in now and any(change.role != ADDRESS for change in turn.changes):
            network = now[turn.device].network
            gateway = gateway_of.get(network)
            who = members[network] if turn.device == gateway else [turn.device, *filter(None, [gateway])]
            before = hears[network]
            hears[network] = before.difference(who) | heard({key: now[key] for key in who})
            lost = before - hears[network] - may_be_lost
            if lost:
                faults.append(Fault(turn.number, "strands ", lost, " without need"))
        done.add(turn.number)
    faults.append(_lost_for_good(start, now))
    faults.append(Fault(0, "leaves the menu of ", opened, " unlocked") if opened else None)
    first = next((fault for fault in faults if fault), None)
    return Replayed(first, now, dict(blind))


def _at_lock(shut: set[Key], opened: set[Key], turn: Turn) -> Fault | None:
    """Unlock or lock a menu, and return a fault if it is locked when something is keyed in."""
    device = turn.device
    if device is None:
        return None
    if turn.unlocks:
        shut.discard(device)
        opened.add(device)
    fault = Fault(turn.number, "keys in at ", [device], ", whose menu is locked")
    wrong = turn.at_menu and device in shut
    if turn.locked_after is not None:
        opened.discard(device)
        shut.discard(device)
        shut.update({device} if turn.locked_after else ())
    return fault if wrong else None


def _keyed(now: dict[Key, Holder], places: dict[Cell, set[Key]], turn: Turn, change: Set) -> Fault | None:
    """Key in one setting, and return what is wrong with that."""
    device = turn.device
    if device is None or device not in now:
        return Fault(turn.number, "names ", [device] if device else [], ", which does not exist")
    old, new = now[device], now[device].after(change)
    now[device] = new
    meets = newly_beside(places, device, old, new)
    for cell in old.cells():
        places[cell].discard(device)
    for cell in new.cells():
        places[cell].add(device)
    if old.get(change.role) != change.before:
        found = old.get(change.role)
        return Fault(turn.number, f"expects {change.role} {change.before} and finds {found}")
    if meets:
        return Fault(turn.number, f"puts {device[1] or device[2]} on the channel and address of ", meets)
    return None


def _end(start: State, turns: Iterable[Turn]) -> State:
    """Return the devices after the last turn."""
    end = dict(start)
    for turn in turns:
        for change in turn.changes:
            if turn.device in end:
                end[turn.device] = end[turn.device].after(change)
    return end


def _lost_for_good(start: State, end: State) -> Fault | None:
    lost = heard(start) - heard(end)
    return Fault(0, "leaves ", lost, " without a gateway") if lost else None
