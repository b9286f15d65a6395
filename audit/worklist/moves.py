"""Moves: the order in which devices go to new addresses and radio settings, so that no two ever meet.

Each device waits for the one at the place where it is going. A chain is worked backwards from its vacant
end. A ring of k devices needs k + 1 moves: one device goes to a spare address first.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from audit.worklist.board import Board, Move, at_the_end, go, make, others_beside
from audit.worklist.holders import (
    ADDRESS,
    Key,
    Set,
    State,
    after_all,
    key_order,
    taken,
)


@dataclass(frozen=True, slots=True)
class Stuck:
    """Moves that cannot be made, all for one reason."""

    devices: tuple[Key, ...]
    changes: tuple[tuple[Set, ...], ...]
    """The changes of each of the devices."""
    held_by: tuple[Key, ...] = ()
    """The devices that are in the way and do not move; none: it is a ring, and there is no spare address."""
    lacks_spare: bool = False
    """Whether a spare address would lead round them, but there is none."""
    leaves_them: bool = False
    """Whether they are nodes whose radio stays as it is, so that their gateway would no longer hear them."""


@dataclass(frozen=True, slots=True)
class Planned:
    """The moves in an order in which they can be made, and those that cannot."""

    moves: list[Move]
    stuck: list[Stuck]


def plan_moves(
    start: State, wanted: Mapping[Key, Sequence[Set]], spares: Mapping[str, Sequence[Hashable]]
) -> Planned:
    """Return the moves of devices that are to get other settings; spares are tried in order, by network.

    The result does not depend on the order of the input, and has as few moves as possible: one for each
    device, and one more for each ring. No device is left at a spare address.
    """
    left_out: set[Key] = set()
    while True:
        planned = _plan(start, wanted, spares, left_out)
        at_spare = {move.device for move in planned.moves if move.to_spare}
        halfway = at_spare & {key for stuck in planned.stuck for key in stuck.devices}
        if not halfway:
            return planned
        left_out |= halfway


def _plan(
    start: State,
    wanted: Mapping[Key, Sequence[Set]],
    spares: Mapping[str, Sequence[Hashable]],
    left_out: set[Key],
) -> Planned:
    """Return the moves, if some devices may not use a spare address."""
    board = Board(dict(start), taken(start))
    waiting = {key: tuple(wanted[key]) for key in sorted(wanted, key=key_order) if wanted[key]}
    stuck: list[Stuck] = []
    while waiting:
        rest = _without_claims(board, waiting)
        ready = [key for key in waiting if key in rest and go(board, key, waiting[key])]
        ready = ready or [key for key in waiting if key not in rest and go(board, key, waiting[key])]
        for key in ready:
            del waiting[key]
        if not ready:
            stuck.extend(_unblock(board, waiting, spares, left_out))
    return Planned(board.moves, stuck)


def _without_claims(board: Board, waiting: Mapping[Key, tuple[Set, ...]]) -> set[Key]:
    """Return the waiting devices, without those that would keep another from the address that it is to get.

    Such a device keeps its own address for now, and only comes to the radio of the other.
    """
    address = {key: any(change.role == ADDRESS for change in changes) for key, changes in waiting.items()}
    if len(set(address.values())) < 2:  # usual
        return set(waiting)
    ends = {key: after_all(board.state[key], changes)[-1].cells() for key, changes in waiting.items()}
    claimed = {cell for key, cells in ends.items() if address[key] for cell in cells}
    return {key for key, cells in ends.items() if address[key] or claimed.isdisjoint(cells)}


def _unblock(
    board: Board,
    waiting: dict[Key, tuple[Set, ...]],
    spares: Mapping[str, Sequence[Hashable]],
    left_out: set[Key],
) -> list[Stuck]:
    """Get moves that all wait for each other going again, or take out those that cannot be made."""
    blockers = {key: board.blocked[key] for key in waiting}
    for_good = _for_good(blockers)
    ring = _ring(blockers) if not for_good else []
    round_about = [key for key in for_good if not at_the_end(board, key, waiting[key])]
    for key in ring or round_about:
        if key not in left_out and _to_spare(board, waiting, key, spares.get(key[0], ())):
            return []
    if any(_radio_alone(board, waiting, key) for key in ring or for_good):
        return []
    if ring:
        return [_take_out(waiting, ring, (), lacks_spare=True)]
    return [_take_out(waiting, [key], held, lacks_spare=key in round_about) for key, held in for_good.items()]


def _to_spare(
    board: Board, waiting: dict[Key, tuple[Set, ...]], key: Key, spares: Sequence[Hashable]
) -> bool:
    """Send a device to the first spare address that it can go to and leave again, if there is one."""
    old = board.state[key]
    radio = [change for change in waiting[key] if change.role != ADDRESS]
    target = next((change.after for change in waiting[key] if change.role == ADDRESS), old.address)
    for spare in spares:
        hop = Set(ADDRESS, old.address, spare)
        if not any(others_beside(board, key, holder) for holder in after_all(old, [hop, *radio])):
            make(board, key, [hop], to_spare=True)
            waiting[key] = (*radio, Set(ADDRESS, spare, target))
            return True
    return False


def _for_good(blockers: Mapping[Key, set[Key]]) -> dict[Key, tuple[Key, ...]]:
    """Return the devices that wait for one that does not move, with those in the way."""
    blocked: dict[Key, tuple[Key, ...]] = {}
    found = True
    while found:
        found = False
        for key, held in blockers.items():
            still = {one for one in held if one not in blockers or one in blocked}
            if still and key not in blocked:
                blocked[key] = tuple(sorted(still, key=key_order))
                found = True
    return blocked


def _ring(blockers: Mapping[Key, set[Key]]) -> list[Key]:
    """Return devices that wait for each other in a ring, beginning with the first by name."""
    way = [next(iter(blockers))]
    while way[-1] not in way[:-1]:
        way.append(min(blockers[way[-1]], key=key_order))
    ring = way[way.index(way[-1]) : -1]
    first = ring.index(min(ring, key=key_order))
    return ring[first:] + ring[:first]


def _radio_alone(board: Board, waiting: dict[Key, tuple[Set, ...]], key: Key) -> bool:
    """Set the radio of a device whose new address is taken, if that can be done, and let its address wait.

    Others may then move, since it is no longer where it was.
    """
    radio = [change for change in waiting[key] if change.role != ADDRESS]
    address = tuple(change for change in waiting[key] if change.role == ADDRESS)
    if not (radio and address and make(board, key, radio)):
        return False
    waiting[key] = address
    return True


def _take_out(
    waiting: dict[Key, tuple[Set, ...]], keys: Iterable[Key], held_by: tuple[Key, ...], *, lacks_spare: bool
) -> Stuck:
    """Take moves out of those waiting, and return them as stuck."""
    out = {key: waiting.pop(key) for key in keys}
    return Stuck(tuple(out), tuple(out.values()), held_by, lacks_spare)
