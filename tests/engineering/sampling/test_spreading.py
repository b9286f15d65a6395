"""Samples shared out over networks: the shares add up, and the worst case is found by trying all cases."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import comb, prod

from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.sampling.chance import at_most
from audit.engineering.sampling.size import defective_in, size_for
from audit.engineering.sampling.spreading import (
    allocate,
    chance_of_none,
    most_defective_wherever,
    size_wherever,
)

CONFIDENCE = Fraction(95, 100)
networks = st.lists(st.integers(0, 40), min_size=1, max_size=9).map(
    lambda sizes: {f"net {index}": size for index, size in enumerate(sizes)}
)
few_networks = st.lists(st.integers(1, 5), min_size=1, max_size=4).map(
    lambda sizes: {f"net {index}": size for index, size in enumerate(sizes)}
)


@given(networks, st.data())
def test_shares_add_up_and_no_network_gives_more_than_it_has(
    sizes: dict[str, int], chance: st.DataObject
) -> None:
    """Every node of the sample belongs to a network, and each network has one while the sample allows."""
    total = chance.draw(st.integers(0, sum(sizes.values())))
    shares = allocate(total, sizes)

    assert sum(shares.values()) == total
    assert all(0 <= shares[name] <= size for name, size in sizes.items())
    with_nodes = [name for name, size in sizes.items() if size]
    if total >= len(with_nodes):
        assert all(shares[name] for name in with_nodes)
    else:
        assert max(shares.values(), default=0) <= 1


@given(networks, st.data())
def test_shares_are_in_proportion(sizes: dict[str, int], chance: st.DataObject) -> None:
    """Where every network's proportion is one or more, each share is its proportion, rounded up or down."""
    lot = sum(sizes.values())
    total = chance.draw(st.integers(0, lot))
    if any(0 < total * size < lot for size in sizes.values()) or not lot:
        return
    shares = allocate(total, sizes)

    assert all(abs(shares[name] - Fraction(total * size, lot)) < 1 for name, size in sizes.items())


def test_shares_of_an_example() -> None:
    """12 nodes of 60, 30, 9 and 1: the smallest gets one; the others share 11 by 6.67, 3.33 and 1."""
    assert allocate(12, {"a": 60, "b": 30, "c": 9, "d": 1}) == {"a": 7, "b": 3, "c": 1, "d": 1}


def test_a_sample_smaller_than_the_number_of_networks_goes_to_the_largest() -> None:
    """Of equal networks the one named first is visited."""
    assert allocate(2, {"a": 5, "b": 9, "c": 5, "d": 1}) == {"a": 1, "b": 1, "c": 0, "d": 0}


@given(few_networks, st.data())
def test_the_worst_case_is_the_worst_of_all_cases(sizes: dict[str, int], chance: st.DataObject) -> None:
    """Every way to place the defective nodes in the networks is tried."""
    lot = sum(sizes.values())
    drawn = allocate(chance.draw(st.integers(0, lot)), sizes)
    defective = chance.draw(st.integers(0, lot))
    tried = [
        prod(
            Fraction(comb(size - bad, drawn[name]), comb(size, drawn[name]))
            for (name, size), bad in zip(sizes.items(), placed, strict=True)
        )
        for placed in product(*(range(size + 1) for size in sizes.values()))
        if sum(placed) == defective
    ]

    assert chance_of_none(sizes, drawn, defective) == max(tried)


@given(st.integers(1, 40), st.data())
def test_one_network_is_a_lot(lot: int, chance: st.DataObject) -> None:
    """Where there is one network, its sample is drawn from the whole lot."""
    size, defective = chance.draw(st.integers(0, lot)), chance.draw(st.integers(0, lot))

    assert chance_of_none({"a": lot}, {"a": size}, defective) == at_most(0, size, defective, lot)


@given(networks.filter(lambda sizes: sum(sizes.values()) > 0), st.sampled_from([1, 5, 10, 25]))
def test_a_size_wherever_holds_its_confidence(sizes: dict[str, int], part: int) -> None:
    """However the defective nodes are placed, the confidence is reached; the whole lot is never exceeded."""
    defective, lot = Fraction(part, 100), sum(sizes.values())
    size = size_wherever(sizes, CONFIDENCE, defective)

    assert size_for(lot, CONFIDENCE, defective) <= size <= lot
    wanted = defective_in(lot, defective)
    assert chance_of_none(sizes, allocate(size, sizes), wanted) <= 1 - CONFIDENCE


@given(networks.filter(lambda sizes: sum(sizes.values()) > 0), st.data())
def test_the_bound_wherever_is_the_last_number_that_is_likely(
    sizes: dict[str, int], chance: st.DataObject
) -> None:
    """One more defective node than the bound would have been seen with the confidence."""
    lot = sum(sizes.values())
    drawn = allocate(chance.draw(st.integers(1, lot)), sizes)
    bound = most_defective_wherever(sizes, drawn, CONFIDENCE)

    assert chance_of_none(sizes, drawn, bound) > 1 - CONFIDENCE
    assert chance_of_none(sizes, drawn, bound + 1) <= 1 - CONFIDENCE


def test_sharing_out_over_many_small_networks_can_hide_much() -> None:
    """Of 100 networks of 3 nodes, 54 are visited: 15 defective nodes may all be in the others."""
    sizes = {f"net {index}": 3 for index in range(100)}
    size = size_for(300, CONFIDENCE, Fraction(5, 100))

    assert size == 54
    assert chance_of_none(sizes, allocate(size, sizes), 15) == 1
    assert size_wherever(sizes, CONFIDENCE, Fraction(5, 100)) > 90


def test_a_sample_that_meets_its_confidence_exactly_is_not_enlarged() -> None:
    """One of 20 escapes 19 draws with a chance of exactly 5 %: the twentieth node need not be read."""
    assert size_wherever({"a": 20}, CONFIDENCE, Fraction(5, 100)) == 19
