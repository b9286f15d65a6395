"""Chances are counted here one by one: every sample of a small lot is drawn."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.sampling.chance import at_most, at_most_of_many


def counted(found: int, size: int, defective: int, lot: int) -> Fraction:
    """Return the chance by drawing every sample of a lot whose first nodes are defective."""
    samples = list(combinations(range(lot), size))
    passing = sum(sum(node < defective for node in sample) <= found for sample in samples)
    return Fraction(passing, len(samples))


def test_chance_is_that_of_all_samples_of_small_lots() -> None:
    """For every lot of up to seven nodes, every sample and every number found."""
    for lot in range(1, 8):
        for size, defective, found in product(range(lot + 1), range(lot + 1), range(lot + 1)):
            assert at_most(found, size, defective, lot) == counted(found, size, defective, lot)


def test_a_sample_that_cannot_hold_so_few_has_no_chance() -> None:
    """Eight of ten nodes are drawn and five are defective: three at least are among them."""
    assert at_most(2, 8, 5, 10) == 0
    assert at_most(5, 8, 5, 10) == 1


def test_chance_without_end_is_that_of_all_outcomes() -> None:
    """For up to five draws, each good or defective, every outcome is weighed."""
    fraction = Fraction(2, 7)
    for size in range(6):
        for found in range(size + 1):
            weighed = sum(
                fraction ** sum(draws) * (1 - fraction) ** (size - sum(draws))
                for draws in product((0, 1), repeat=size)
                if sum(draws) <= found
            )
            assert at_most_of_many(found, size, fraction) == weighed


@given(st.integers(1, 60), st.data())
def test_more_defective_nodes_are_less_likely_to_go_unseen(lot: int, chance: st.DataObject) -> None:
    """The chance never rises with the number of defective nodes, nor with the size of the sample."""
    size = chance.draw(st.integers(0, lot - 1))
    defective = chance.draw(st.integers(0, lot - 1))
    found = chance.draw(st.integers(0, lot))

    here = at_most(found, size, defective, lot)
    assert here >= at_most(found, size, defective + 1, lot)
    assert here >= at_most(found, size + 1, defective, lot)
