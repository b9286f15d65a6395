"""The order of visits: first what the steps require; then by distance, or by name.

Up to ten places the shortest round is found exactly. Beyond that it comes from a library's approximation
of the travelling salesman's round, rearranged so that no visit comes before one that it needs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from audit.engineering.positions import between_m
from audit.grouping import grouped
from audit.model.base import Position

EXACT = 10
"""Most visits with a position for which every order is compared."""
APPROXIMATE = "approximate (Christofides 1976 by networkx, then rearranged as the steps require)"
MOST_MATCHED = 300
"""With more visits than this, that method takes too long: its time grows with their cube."""
GREEDY = "approximate (the nearest next, then rearranged as the steps require)"
Group = tuple[str | int, ...]
"""What is done in one go: the first or second visit to a device, or the work at a desk."""
Distance = Callable[[Group | None, Group | None], float]


@dataclass(frozen=True, slots=True)
class Stop:
    """A visit: to which device, in which network and where, and which visits have to come before."""

    key: Group
    network: str
    place: str
    rank: tuple[object, ...]
    """Its place in an order by names."""
    needs: frozenset[Group] = frozenset()
    position: Position | None = None


def by_names(stops: Sequence[Stop]) -> list[Stop]:
    """Return stops in order of their ranks, as far as their needs allow.

    Each place is done in one go if possible; if not, each network.
    """
    left = sorted(stops, key=lambda stop: stop.rank)
    left_at = grouped((stop.place, stop) for stop in left)
    left_in = grouped((stop.network, stop) for stop in left)
    by_key = {stop.key: stop for stop in stops}
    pairs = [(by_key[need], stop) for stop in stops for need in stop.needs]
    needed_by = grouped((first.key, then) for first, then in pairs)
    waits = Counter(then.key for _, then in pairs)
    # A place or network can be done in one go if none of its stops waits for one elsewhere.
    waits_at = Counter(then.place for first, then in pairs if first.place != then.place)
    waits_in = Counter(then.network for first, then in pairs if first.network != then.network)
    done: list[Stop] = []
    while left:
        in_turn = _in_turn(done[-1] if done else None, left, left_at, left_in, waits_at, waits_in)
        stop = next(one for one in in_turn if not waits[one.key])
        for some in (left, left_at[stop.place], left_in[stop.network]):
            some.remove(stop)
        done.append(stop)
        for then in needed_by[stop.key]:
            waits[then.key] -= 1
            waits_at[then.place] -= then.place != stop.place
            waits_in[then.network] -= then.network != stop.network
    return done


def _in_turn(
    last: Stop | None,
    left: Sequence[Stop],
    left_at: Mapping[str, Sequence[Stop]],
    left_in: Mapping[str, Sequence[Stop]],
    waits_at: Mapping[str, int],
    waits_in: Mapping[str, int],
) -> Iterator[Stop]:
    """Yield the remaining stops, the one to be done next first, whether or not it has to wait."""
    if last:
        yield from left_at[last.place]
    networks = ([last.network] if last else []) + [name for name, there in left_in.items() if there]
    for name in networks:
        if not waits_in[name] or (last and name == last.network):
            yield from (one for one in left_in[name] if not waits_at[one.place])
        if not waits_in[name]:
            yield from left_in[name]
    yield from (one for one in left if not waits_at[one.place])
    yield from left


def by_distance(stops: Sequence[Stop], start: Position) -> tuple[list[Stop], float, str]:
    """Return stops in a short round from the start and back, its length in metres, and how it was found.

    Stops without a position come last.
    """
    by_key = {stop.key: stop for stop in by_names(stops)}
    placed = _among(
        stop for stop in by_key.values() if stop.position and metres(start, stop.position) is not None
    )
    where: dict[Group | None, Position | None] = {stop.key: stop.position for stop in placed} | {None: start}
    lost = _among(stop for stop in by_key.values() if stop.key not in where)

    def distance(one: Group | None, other: Group | None) -> float:
        a, b = where[one], where[other]
        return (metres(a, b) if a and b else None) or 0.0

    if len(placed) <= EXACT:
        order, how = _exact(placed, distance), f"shortest round, exact over {len(placed)} visits"
    else:
        way = APPROXIMATE if len(placed) <= MOST_MATCHED else GREEDY
        order, how = _approximate(placed, distance), f"short round over {len(placed):,} visits, {way}"
    if lost:
        order = _as_ready([by_key[stop.key] for stop in (*order, *by_names(lost))])
        how += f"; {len(lost):,} without a position {'comes' if len(lost) == 1 else 'come'} last"
    return order, length([stop.key for stop in order if stop.key in where], distance), how


def _among(stops: Iterable[Stop]) -> list[Stop]:
    """Return stops with only those needs that are among them: what else they need is not in this order."""
    some = list(stops)
    keys = {stop.key for stop in some}
    return [replace(stop, needs=stop.needs & keys) for stop in some]


def _as_ready(stops: Sequence[Stop]) -> list[Stop]:
    """Return stops in their order, except for those that have to wait for a later one."""
    left, done, keys = list(stops), [], set[Group]()
    while left:
        stop = next(one for one in left if one.needs <= keys)
        left.remove(stop)
        done.append(stop)
        keys.add(stop.key)
    return done


def length(keys: Sequence[Group], distance: Distance) -> float:
    """Return the length of a round from the start (key None) over some stops and back."""
    return sum(distance(one, other) for one, other in pairwise([None, *keys, None]))


def metres(one: Position, other: Position) -> float | None:
    """Return the distance of two positions in metres, or None if one is on the grid and one on the earth."""
    try:
        return between_m(one, other)
    except ValueError:
        return None


def _exact(stops: Sequence[Stop], distance: Distance) -> list[Stop]:
    """Return the shortest round in which no stop comes before one that it needs (Held and Karp 1962).

    For each set of visited stops and each last one of them, the shortest way there is kept.
    """
    keys = [stop.key for stop in stops]
    bit = {key: 1 << n for n, key in enumerate(keys)}
    before = [sum(bit[key] for key in stop.needs if key in bit) for stop in stops]
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {(0, -1): (0.0, ())}
    for _ in stops:
        longer: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {}
        for (seen, last), (so_far, way) in best.items():
            for n, key in enumerate(keys):
                if seen & (1 << n) or before[n] & ~seen:
                    continue
                step = (so_far + distance(keys[last] if last >= 0 else None, key), (*way, n))
                state = (seen | 1 << n, n)
                if state not in longer or step < longer[state]:
                    longer[state] = step
        best = longer
    ends = [
        (so_far + distance(keys[last] if last >= 0 else None, None), way)
        for (_, last), (so_far, way) in best.items()
    ]
    return [stops[n] for n in min(ends)[1]]


def _approximate(stops: Sequence[Stop], distance: Distance) -> list[Stop]:
    """Return the shorter of the two directions of an approximate round, rearranged into a possible order."""
    import networkx

    graph: networkx.Graph[int] = networkx.Graph()
    keys: list[Group | None] = [None, *(stop.key for stop in stops)]
    numbers = range(len(keys))
    graph.add_weighted_edges_from(
        (a, b, distance(keys[a], keys[b])) for a in numbers for b in numbers if a < b
    )
    salesman = networkx.approximation
    round_ = (salesman.christofides if len(stops) <= MOST_MATCHED else salesman.greedy_tsp)(graph)[:-1]
    turn = round_.index(0)
    forth = (round_[turn:] + round_[:turn])[1:]
    orders = [_as_ready([stops[n - 1] for n in way]) for way in (forth, forth[::-1])]
    return min(orders, key=lambda order: length([stop.key for stop in order], distance))
