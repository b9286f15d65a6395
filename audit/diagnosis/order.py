"""The order of checks with the shortest expected time until the cause is found.

Checks at the desk come in any order; those at the node are all done in one trip, whose travel counts once.
A check at the gateway counts as one at the desk whose minutes include its travel.
Each check has its own chance of finding a cause, independently of the others; the first that finds it ends
the search. The expected minutes of an order are Σ minutes × P(nothing before has found it).

If no two checks find the same cause and there is no travel, the best order is that by probability
÷ minutes: J. B. Kadane and H. A. Simon 1977; D. Heckerman, J. S. Breese and K. Rommelse, Decision-theoretic
troubleshooting, CACM 38(3), 1995. In other cases that rule may miss the best order, so all orders are
compared, by dynamic programming over the sets of checks done; with more checks than MOST_AT_DESK or
MOST_AT_SITE the rule has to do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from math import fsum

MOST_AT_DESK = 10
MOST_AT_SITE = 7


@dataclass(frozen=True, slots=True)
class Option:
    """A check that may be done: its minutes, with travel to a gateway, and how often it finds each cause."""

    id: str
    minutes: float
    finds: Mapping[str, float] = field(hash=False)


@dataclass(frozen=True, slots=True)
class Order:
    """Checks in an order: at the desk, then the trip, then what is left at the desk."""

    before: tuple[Option, ...]
    trip: tuple[Option, ...]
    after: tuple[Option, ...]
    travel: float
    """Minutes of travel."""

    @property
    def checks(self) -> tuple[Option, ...]:
        """All checks in their order."""
        return (*self.before, *self.trip, *self.after)


def unresolved(chances: Mapping[str, float], done: Iterable[Option]) -> float:
    """Return how probable it is that none of these checks has found the cause."""
    return fsum(_without(chances, done).values())


def finding(chances: Mapping[str, float], option: Option) -> float:
    """Return how probable it is that a check finds the cause."""
    return fsum(p * option.finds.get(cause, 0) for cause, p in chances.items())


def expected_minutes(chances: Mapping[str, float], order: Order) -> float:
    """Return the expected minutes until the cause is found, or all checks are done."""
    done: list[Option] = []
    minutes = 0.0
    for option in order.checks:
        travel = order.travel if order.trip and option is order.trip[0] else 0
        minutes += (option.minutes + travel) * unresolved(chances, done)
        done.append(option)
    return minutes


def best_order(
    chances: Mapping[str, float], desk: Sequence[Option], site: Sequence[Option], travel: float
) -> Order:
    """Return the order with the fewest expected minutes; ties go to the check that is given first."""
    if len(desk) > MOST_AT_DESK or len(site) > MOST_AT_SITE:
        return by_ratio(chances, desk, site, travel)
    return _searched(tuple(chances.items()), tuple(desk), tuple(site), travel)


@lru_cache(maxsize=1024)
def _searched(
    chances: tuple[tuple[str, float], ...], desk: tuple[Option, ...], site: tuple[Option, ...], travel: float
) -> Order:
    """Return the best order; it is cached, since the same is known of many nodes of a network."""
    return _Search(dict(chances), desk, site, travel).order()


def order_from_there(chances: Mapping[str, float], desk: Sequence[Option], site: Sequence[Option]) -> Order:
    """Return the best order for somebody at the node: first all checks that are left there, then the desk."""
    there = best_order(chances, (), site, 0).trip
    return Order((), there, best_order(_without(chances, there), desk, (), 0).before, 0)


def by_ratio(
    chances: Mapping[str, float], desk: Sequence[Option], site: Sequence[Option], travel: float
) -> Order:
    """Return the order by probability ÷ minutes, worked out anew after each check; the trip counts as one."""
    before: list[Option] = []
    at_desk, left = list(desk), dict(chances)
    while at_desk:
        nearest = max(at_desk, key=lambda option: finding(left, option) / option.minutes)
        trip = _by_ratio(left, site)
        if trip and trip_ratio(left, trip, travel) > finding(left, nearest) / nearest.minutes:
            break
        before.append(nearest)
        at_desk.remove(nearest)
        left = _without(left, [nearest])
    trip = _by_ratio(left, site)
    return Order(tuple(before), tuple(trip), tuple(_by_ratio(_without(left, trip), at_desk)), travel)


def trip_ratio(chances: Mapping[str, float], trip: Sequence[Option], travel: float) -> float:
    """Return the probability that a trip finds the cause ÷ the minutes of travel and all its checks."""
    found = fsum(chances.values()) - unresolved(chances, trip)
    return found / (travel + fsum(option.minutes for option in trip))


def _without(chances: Mapping[str, float], done: Iterable[Option]) -> dict[str, float]:
    left = dict(chances)
    for option in done:
        left = {cause: p * (1 - option.finds.get(cause, 0)) for cause, p in left.items()}
    return left


def _by_ratio(chances: Mapping[str, float], options: Sequence[Option]) -> list[Option]:
    ordered: list[Option] = []
    left, rest = dict(chances), list(options)
    while rest:
        best = max(rest, key=lambda option: finding(left, option) / option.minutes)
        ordered.append(best)
        rest.remove(best)
        left = _without(left, [best])
    return ordered


class _Search:
    """Compares all orders: the time still expected depends only on the sets of checks that are done."""

    def __init__(
        self, chances: Mapping[str, float], desk: Sequence[Option], site: Sequence[Option], travel: float
    ) -> None:
        self.desk, self.site, self.travel = desk, site, travel
        self.all_desk, self.all_site = (1 << len(desk)) - 1, (1 << len(site)) - 1
        causes = list(chances)
        self.weights = [chances[cause] for cause in causes]
        self.missed_at_desk = _missed(causes, desk)
        self.missed_at_site = _missed(causes, site)
        self.before, self.during, self.after = cache(self._before), cache(self._during), cache(self._after)

    def left(self, desk: int, site: int) -> float:
        """Return how probable it is that these sets of checks, given as bits, have found nothing."""
        parts = zip(self.weights, self.missed_at_desk[desk], self.missed_at_site[site], strict=True)
        return sum(weight * one * other for weight, one, other in parts)

    def order(self) -> Order:
        desk, site = 0, 0
        before: list[Option] = []
        while (step := self.before(desk)[1]) >= 0:
            before.append(self.desk[step])
            desk |= 1 << step
        trip: list[Option] = []
        while site != self.all_site:
            step = self.during(desk, site)[1]
            trip.append(self.site[step])
            site |= 1 << step
        after: list[Option] = []
        while desk != self.all_desk:
            step = self.after(desk)[1]
            after.append(self.desk[step])
            desk |= 1 << step
        return Order(tuple(before), tuple(trip), tuple(after), self.travel)

    def _before(self, desk: int) -> tuple[float, int]:
        """Return the expected minutes and the next check at the desk; −1 stands for the trip, or the end."""
        left = self.left(desk, 0)
        ways = [(self.desk[i].minutes * left + self.before(desk | 1 << i)[0], i)
                for i in range(len(self.desk)) if not desk >> i & 1]  # fmt: skip
        if self.site:
            ways.append((self.travel * left + self.during(desk, 0)[0], -1))
        return _least(ways) if ways else (0.0, -1)

    def _during(self, desk: int, site: int) -> tuple[float, int]:
        if site == self.all_site:
            return self.after(desk)
        left = self.left(desk, site)
        return _least([(self.site[i].minutes * left + self.during(desk, site | 1 << i)[0], i)
                       for i in range(len(self.site)) if not site >> i & 1])  # fmt: skip

    def _after(self, desk: int) -> tuple[float, int]:
        if desk == self.all_desk:
            return 0.0, -1
        left = self.left(desk, self.all_site)
        return _least([(self.desk[i].minutes * left + self.after(desk | 1 << i)[0], i)
                       for i in range(len(self.desk)) if not desk >> i & 1])  # fmt: skip


def _least(ways: Sequence[tuple[float, int]]) -> tuple[float, int]:
    """Return the way with the fewest minutes; if several differ only by rounding, the first of them."""
    least = min(minutes for minutes, _ in ways)
    return next(way for way in ways if way[0] <= least * (1 + 1e-12))


def _missed(causes: Sequence[str], options: Sequence[Option]) -> list[list[float]]:
    """Return for each set of checks, as bits of the index, how often it finds nothing under each cause."""
    missed = [[1.0] * len(causes)]
    for option in options:
        by_this = [1 - option.finds.get(cause, 0) for cause in causes]
        missed += [[a * b for a, b in zip(row, by_this, strict=True)] for row in missed]
    return missed
