"""The board on which moves are planned: which device is where, who is in whose way, and the moves made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from audit.worklist.holders import ADDRESS, Cell, Holder, Key, Set, after_all, newly_beside, sharing


@dataclass(frozen=True, slots=True)
class Move:
    """Settings of one device that are keyed in together, in this order, after certain other moves."""

    device: Key
    changes: tuple[Set, ...]
    after: frozenset[int] = frozenset()
    """Positions of the moves that have to be done before."""
    to_spare: bool = False


@dataclass
class Board:
    """Which device is where while the moves are planned, and which moves have left which place."""

    state: dict[Key, Holder]
    taken: dict[Cell, set[Key]]
    left: dict[Cell, set[int]] = field(default_factory=lambda: defaultdict(set))
    moves: list[Move] = field(default_factory=list)
    made: dict[Key, list[int]] = field(default_factory=lambda: defaultdict(list))
    """Device → its moves, by their positions in `moves`."""
    blocked: dict[Key, set[Key]] = field(default_factory=dict)
    """Waiting device → those in its way; forgotten when one comes to or leaves a place that it would pass."""
    passing: dict[Cell, set[Key]] = field(default_factory=lambda: defaultdict(set))
    """Place → the blocked devices that would pass it."""


def go(board: Board, key: Key, changes: Sequence[Set]) -> bool:
    """Make the move of a waiting device, or note which devices are in the way; return whether it was made."""
    if key in board.blocked:
        return False
    made = make(board, key, changes)
    if not made:
        _block(board, key, changes)
    return made


def make(board: Board, key: Key, changes: Sequence[Set], *, to_spare: bool = False) -> bool:
    """Make a move if no device is in the way, and return whether it was made."""
    for order in _orders(changes):
        passed = after_all(board.state[key], order)
        if not any(others_beside(board, key, holder) for holder in passed):
            _record(board, key, order, passed, to_spare)
            return True
    return False


def _block(board: Board, key: Key, changes: Sequence[Set]) -> None:
    """Note which devices a device waits for: those where it is going or, if none, on the way there."""
    passed = [holder for order in _orders(changes) for holder in after_all(board.state[key], order)]
    on_the_way = (others_beside(board, key, holder) for holder in passed)
    board.blocked[key] = at_the_end(board, key, changes) or set().union(*on_the_way)
    for holder in (board.state[key], *passed):
        for cell in holder.cells():
            board.passing[cell].add(key)


def at_the_end(board: Board, key: Key, changes: Sequence[Set]) -> set[Key]:
    """Return the devices at the place where a device is going."""
    return others_beside(board, key, after_all(board.state[key], changes)[-1])


def others_beside(board: Board, key: Key, holder: Holder) -> set[Key]:
    """Return the devices that would share a place with a device and do not yet."""
    return newly_beside(board.taken, key, board.state[key], holder)


def _orders(changes: Sequence[Set]) -> list[tuple[Set, ...]]:
    """Return the orders in which settings may be keyed in: the address first, or the radio first."""
    address = tuple(change for change in changes if change.role == ADDRESS)
    radio = tuple(change for change in changes if change.role != ADDRESS)
    return [address + radio, radio + address] if address and radio else [address + radio]


def _record(board: Board, key: Key, order: tuple[Set, ...], passed: list[Holder], to_spare: bool) -> None:
    number = len(board.moves)
    cells = [board.state[key].cells(), *(holder.cells() for holder in passed)]
    mates = {key} | sharing(board.taken, key, set().union(*cells))
    after = {left for of_one in cells[1:] for cell in of_one for left in board.left[cell]}
    # Devices that already share a place may go on sharing it; in another order they would meet again.
    after.update(*(board.made[mate] for mate in mates))
    for cell in set().union(*cells[:-1]) - cells[-1]:
        board.taken.get(cell, set()).discard(key)
        board.left[cell].add(number)
    for cell in cells[-1]:
        board.taken.setdefault(cell, set()).add(key)
    for one in {key}.union(*(board.passing.pop(cell, ()) for cell in set().union(*cells))):
        board.blocked.pop(one, None)
    board.state[key] = passed[-1]
    board.made[key].append(number)
    board.moves.append(Move(key, order, frozenset(after), to_spare))
