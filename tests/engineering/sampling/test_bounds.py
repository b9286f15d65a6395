"""Bounds hold as often as they say: every outcome of every sample is weighed with its exact chance."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.sampling.bounds import STEPS, clopper_pearson_upper, most_defective
from audit.engineering.sampling.chance import at_most, at_most_of_many

CONFIDENCES = [Fraction(part, 100) for part in (50, 90, 95, 99)]


@given(st.integers(1, 40), st.sampled_from(CONFIDENCES), st.data())
def test_the_bound_of_a_finite_lot_holds_with_its_confidence(
    lot: int, confidence: Fraction, chance: st.DataObject
) -> None:
    """However many nodes are defective, the bound is at or above that number with the confidence or more."""
    size = chance.draw(st.integers(1, lot))
    for defective in range(lot + 1):
        seen = range(max(0, size - (lot - defective)), min(size, defective) + 1)
        held = sum(
            at_most(found, size, defective, lot) - at_most(found - 1, size, defective, lot)
            for found in seen
            if most_defective(found, size, lot, confidence) >= defective
        )
        assert held >= confidence


@given(st.integers(1, 60), st.sampled_from(CONFIDENCES), st.data())
def test_bounds_rise_with_what_was_found(lot: int, confidence: Fraction, chance: st.DataObject) -> None:
    """One more nonconforming node never lowers a bound; more confidence never does."""
    size = chance.draw(st.integers(1, lot))
    finite = [most_defective(found, size, lot, confidence) for found in range(size + 1)]
    endless = [clopper_pearson_upper(found, size, confidence) for found in range(min(size, 6) + 1)]

    assert finite == sorted(finite)
    assert endless == sorted(endless)
    found = chance.draw(st.integers(0, size))
    by_confidence = [most_defective(found, size, lot, level) for level in CONFIDENCES]
    assert by_confidence == sorted(by_confidence)


@given(st.integers(1, 80), st.sampled_from(CONFIDENCES), st.data())
def test_the_bound_is_as_low_as_it_may_be(lot: int, confidence: Fraction, chance: st.DataObject) -> None:
    """At the bound a sample like this one is still likely enough; with one more defective node it is not."""
    size = chance.draw(st.integers(1, lot))
    found = chance.draw(st.integers(0, size))
    bound = most_defective(found, size, lot, confidence)

    assert found <= bound <= lot - (size - found)
    assert at_most(found, size, bound, lot) > 1 - confidence
    assert bound == lot - (size - found) or at_most(found, size, bound + 1, lot) <= 1 - confidence


@given(st.integers(1, 60), st.sampled_from(CONFIDENCES), st.data())
def test_clopper_pearson_is_rounded_up_by_less_than_a_billionth(
    size: int, confidence: Fraction, chance: st.DataObject
) -> None:
    """The bound returned is at or above the true one, and the step below it is not."""
    found = chance.draw(st.integers(0, size - 1))
    bound = clopper_pearson_upper(found, size, confidence)

    assert at_most_of_many(found, size, bound) <= 1 - confidence
    assert at_most_of_many(found, size, bound - Fraction(1, STEPS)) > 1 - confidence


def test_a_lot_that_was_read_is_known() -> None:
    """Nothing is left to infer where every node was read."""
    assert most_defective(3, 20, 20, Fraction(99, 100)) == 3
    assert clopper_pearson_upper(20, 20, Fraction(95, 100)) == 1
