"""The board: who is in whose way is looked at again only once something has moved there."""

from __future__ import annotations

from audit.worklist.board import Board, go
from audit.worklist.holders import taken
from tests.worklist.sites import nodes, to


def test_who_is_in_the_way_is_forgotten_once_a_device_has_moved_near() -> None:
    """A waits for B, whatever C does elsewhere; once B has gone, A goes."""
    state = nodes({"A": 1, "B": 2, "C": 8})
    wanted = to(state, {"A": 2, "B": 3, "C": 9})
    a, b, c = wanted
    board = Board(dict(state), taken(state))

    assert not go(board, a, wanted[a])
    assert board.blocked == {a: {b}}
    assert go(board, c, wanted[c])
    assert board.blocked == {a: {b}}
    assert go(board, b, wanted[b])
    assert board.blocked == {}
    assert go(board, a, wanted[a])
    assert [move.device for move in board.moves] == [c, b, a]
