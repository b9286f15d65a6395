"""Moves and routes against an independent library, and against trying every order.

Sources: networkx (Hagberg, Schult, Swart 2008), strongly connected components by Tarjan 1972 and simple
cycles by Johnson 1975; the count of moves follows from the cycle decomposition of a permutation (any
textbook of combinatorics). Shortest rounds: every order is tried, which the method of Held and Karp 1962
avoids. The bound of the approximation: Christofides 1976, at most half as long again as the shortest, for
distances that satisfy the triangle inequality.
"""

from __future__ import annotations

from itertools import permutations

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.model.base import Position
from audit.worklist.moves import plan_moves
from audit.worklist.route import EXACT, Group, Stop, by_distance, length, metres
from tests.worklist.sites import nodes, to

START = Position(x_m=0, y_m=0)


@settings(deadline=None, max_examples=60)
@given(new=st.integers(2, 60).flatmap(lambda size: st.permutations(range(size))))
def test_moves_of_a_permutation_are_counted_by_its_cycles(new: list[int]) -> None:
    """One move for each device not in its place, and one more for each cycle, as networkx counts them."""
    graph = networkx.DiGraph((old, address) for old, address in enumerate(new))
    cycles = [cycle for cycle in networkx.simple_cycles(graph) if len(cycle) > 1]
    state = nodes({f"T-{n}": n for n in range(len(new))})
    planned = plan_moves(state, to(state, {f"T-{n}": address for n, address in enumerate(new)}), {"N": [900]})

    assert len(planned.moves) == sum(map(len, cycles)) + len(cycles)
    assert sum(move.to_spare for move in planned.moves) == len(cycles)


@settings(deadline=None, max_examples=60)
@given(
    size=st.integers(2, 40).flatmap(lambda n: st.tuples(st.just(n), st.permutations(range(2 * n)))),
)
def test_without_a_spare_the_cycles_are_held_back(size: tuple[int, list[int]]) -> None:
    """Of devices that move among twice as many addresses, the strongly connected components are stuck."""
    number, targets = size
    wanted = {f"T-{n}": targets[n] for n in range(number)}
    graph = networkx.DiGraph(
        (f"T-{n}", f"T-{targets[n]}") for n in range(number) if targets[n] < number and targets[n] != n
    )
    rings = {frozenset(part) for part in networkx.strongly_connected_components(graph) if len(part) > 1}
    state = nodes({f"T-{n}": n for n in range(number)})
    planned = plan_moves(state, to(state, wanted), {})

    assert {frozenset(key[1] for key in stuck.devices) for stuck in planned.stuck} == rings


def stops_of(places: list[tuple[int, int]], before: list[tuple[int, int]] = ()) -> list[Stop]:  # type: ignore[assignment]
    """Return stops at places; `before` has pairs, of which the first must come before the second."""
    return [
        Stop(("device", n), "N", f"P{n}", (n,), frozenset(("device", a) for a, b in before if b == n),
             Position(x_m=x, y_m=y))
        for n, (x, y) in enumerate(places)
    ]  # fmt: skip


def every_order(stops: list[Stop]) -> float:
    """Return the length of the shortest possible round, by trying every order."""
    position = {stop.key: stop.position for stop in stops} | {None: START}

    def distance(one: Group | None, other: Group | None) -> float:
        a, b = position[one], position[other]
        assert a is not None
        assert b is not None
        return metres(a, b) or 0.0

    possible = [
        [stop.key for stop in order]
        for order in permutations(stops)
        if all(
            order.index(stop) > order.index(other)
            for stop in order
            for other in order
            if other.key in stop.needs
        )
    ]
    return min(length(keys, distance) for keys in possible)


places = st.lists(st.tuples(st.integers(-500, 500), st.integers(-500, 500)), min_size=1, max_size=6)


@settings(deadline=None, max_examples=40)
@given(where=places, chance=st.data())
def test_small_sites_get_the_shortest_round_that_is_possible(
    where: list[tuple[int, int]], chance: st.DataObject
) -> None:
    """The round is the shortest that trying every order gives, whatever has to come first."""
    numbers = st.integers(0, len(where) - 1)
    in_turn = st.tuples(numbers, numbers).filter(lambda pair: pair[0] < pair[1])
    pairs = chance.draw(st.lists(in_turn, max_size=3)) if len(where) > 1 else []
    stops = stops_of(where, pairs)
    order, metres_, how = by_distance(stops, START)

    assert metres_ == pytest.approx(every_order(stops))
    assert "exact" in how
    done: set[Group] = set()
    for stop in order:
        assert stop.needs <= done
        done.add(stop.key)


@settings(deadline=None, max_examples=15)
@given(where=st.lists(st.tuples(st.integers(-500, 500), st.integers(-500, 500)), min_size=EXACT + 1,
                      max_size=30, unique=True))  # fmt: skip
def test_large_sites_get_a_round_within_the_bound(where: list[tuple[int, int]]) -> None:
    """The round is at most 1.5 times the shortest, which is at most twice the shortest tree."""
    order, metres_, how = by_distance(stops_of(where), START)
    tree: networkx.Graph[int] = networkx.Graph()
    points = [(0, 0), *where]
    tree.add_weighted_edges_from(
        (a, b, ((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2) ** 0.5)
        for a, p in enumerate(points) for b, q in enumerate(points) if a < b
    )  # fmt: skip
    weight = networkx.minimum_spanning_tree(tree).size(weight="weight")

    assert sorted(stop.rank for stop in order) == [(n,) for n in range(len(where))]
    assert "approximate" in how
    assert weight <= metres_ + 1e-6
    assert metres_ <= 1.5 * 2 * weight + 1e-6


def test_distance_on_the_earth() -> None:
    """New York to London is as in the manual of GeodSolve (from memory, not verified)."""
    jfk, lhr = Position(latitude=40.6, longitude=-73.8), Position(latitude=51.6, longitude=-0.5)

    assert metres(jfk, lhr) == pytest.approx(5_551_759.4, abs=0.1)
