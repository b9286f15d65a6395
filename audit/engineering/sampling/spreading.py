"""How a sample is shared out over networks, and what that costs.

A sample drawn at random from the whole lot has exactly the confidence of its plan, wherever the defective
nodes are, but may leave a network unvisited. One that is shared out over the networks visits them all. It
has the confidence of its plan if the defective nodes are scattered; if they are all in networks that are
thinly sampled, it has less. How much less is calculated here, for plans that accept none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from heapq import heapify, heapreplace
from itertools import islice

from audit.engineering.sampling.size import defective_in, size_for


def allocate(total: int, sizes: Mapping[str, int]) -> dict[str, int]:
    """Return how many nodes to draw from each network: in proportion, by largest remainder.

    Every network gets at least one; if the sample is too small for that, the largest networks get one
    each. `sizes` gives the nodes of each network; between equals the one named first comes first.
    """
    shares = dict.fromkeys(sizes, 0)
    networks = [name for name, size in sizes.items() if size]
    if total < len(networks):
        largest = sorted(networks, key=lambda name: sizes[name], reverse=True)
        return shares | dict.fromkeys(largest[:total], 1)
    total, networks = _one_for_the_small(total, networks, sizes, shares)
    nodes = sum(sizes[name] for name in networks)
    if not nodes:
        return shares
    quotas = {name: Fraction(total * sizes[name], nodes) for name in networks}
    shares |= {name: int(quota) for name, quota in quotas.items()}
    left = total - sum(shares[name] for name in networks)
    by_remainder = sorted(networks, key=lambda name: quotas[name] % 1, reverse=True)
    for name in by_remainder[:left]:
        shares[name] += 1
    return shares


def _one_for_the_small(
    total: int, networks: list[str], sizes: Mapping[str, int], shares: dict[str, int]
) -> tuple[int, list[str]]:
    """Give one node to each network whose proportion is below one, until no other is below one."""
    while True:
        nodes = sum(sizes[name] for name in networks)
        small = [name for name in networks if total * sizes[name] < nodes]
        if not small:
            return total, networks
        shares |= dict.fromkeys(small, 1)
        total -= len(small)
        networks = [name for name in networks if name not in set(small)]


def chance_of_none(sizes: Mapping[str, int], drawn: Mapping[str, int], defective: int) -> Fraction:
    """Return the largest chance that a sample shared out over networks has none of the defective nodes.

    This is the worst case of where they can be.
    """
    unvisited = sum(size for name, size in sizes.items() if not drawn[name])
    above = below = 1
    for factor in islice(_worst_case(sizes, drawn), max(0, defective - unvisited)):
        above, below = above * factor.numerator, below * factor.denominator
    return Fraction(above, below)


def _worst_case(sizes: Mapping[str, int], drawn: Mapping[str, int]) -> Iterator[Fraction]:
    """Yield the factor by which each further defective node lowers the chance, placed where that is least.

    Only networks that are visited: in the others defective nodes cost nothing. A further one in a network
    of N nodes with n drawn and D defective multiplies the chance by (N - D - n) / (N - D), which falls as D
    grows; so taking the largest factor each time finds the worst case.
    """
    costs = [(-Fraction(size - drawn[name], size), name, 0) for name, size in sizes.items() if drawn[name]]
    heapify(costs)
    while costs:
        factor, name, placed = costs[0]
        yield -factor
        size, placed = sizes[name], placed + 1
        left = max(0, size - placed - drawn[name])
        heapreplace(costs, (-Fraction(left, max(1, size - placed)), name, placed))


def size_wherever(sizes: Mapping[str, int], confidence: Fraction, defective: Fraction) -> int:
    """Return how many nodes to draw, shared out, for a confidence that holds wherever the defective ones are.

    For plans that accept none. It is at least the size of a sample drawn from the whole lot. Raises
    InputProblems as `size_for` does.
    """
    lot = sum(sizes.values())
    low = size_for(lot, confidence, defective)
    wanted, risk = defective_in(lot, defective), 1 - confidence

    def too_few(size: int) -> bool:
        return chance_of_none(sizes, allocate(size, sizes), wanted) > risk

    if not too_few(low):
        return low
    high = lot
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if too_few(middle) else (low, middle)
    return high


def most_defective_wherever(sizes: Mapping[str, int], drawn: Mapping[str, int], confidence: Fraction) -> int:
    """Return the most defective nodes that a lot may have if the sample shared out has shown none."""
    most = sum(size for name, size in sizes.items() if not drawn[name])
    chance = Fraction(1)
    for factor in _worst_case(sizes, drawn):
        chance *= factor
        if chance <= 1 - confidence:
            break
        most += 1
    return most
