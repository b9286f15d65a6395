"""Sizes of samples: each reaches its confidence, and none is larger than it has to be."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.sampling.chance import at_most
from audit.engineering.sampling.size import defective_in, percent, size_for
from audit.errors import InputProblems

PERCENTS = [Fraction(part, 100) for part in (50, 80, 90, 95, 99)]
PARTS = [Fraction(part, 1000) for part in (1, 10, 25, 50, 65, 100, 200)]


@given(st.integers(1, 400), st.sampled_from(PERCENTS), st.sampled_from(PARTS), st.integers(0, 4))
def test_a_size_reaches_its_confidence_and_one_less_does_not(
    lot: int, confidence: Fraction, defective: Fraction, accept: int
) -> None:
    """The chance that the sample passes is at most the risk, however many more are defective."""
    wanted = defective_in(lot, defective)
    if wanted <= accept:
        with pytest.raises(InputProblems):
            size_for(lot, confidence, defective, accept)
        return
    size = size_for(lot, confidence, defective, accept)

    assert all(at_most(accept, size, bad, lot) <= 1 - confidence for bad in range(wanted, lot + 1))
    assert size == 1 or at_most(accept, size - 1, wanted, lot) > 1 - confidence


@pytest.mark.parametrize(("lot", "confidence", "size"), [(20, "95", 19), (10, "90", 9), (100, "99", 99)])
def test_a_plan_that_meets_its_confidence_exactly_counts(lot: int, confidence: str, size: int) -> None:
    """One of 10 escapes 9 draws with a chance of exactly 0.1; floating point has 1 - 0.9 below it."""
    assert size_for(lot, percent(confidence, "confidence"), Fraction(1, lot)) == size
    assert 1 - 0.9 < 0.1


@given(st.integers(2, 300), st.sampled_from(PARTS))
def test_more_confidence_takes_more_nodes_and_a_larger_part_fewer(lot: int, defective: Fraction) -> None:
    """Sizes rise with the confidence and fall with the fraction that is to be shown."""
    sizes = [size_for(lot, confidence, defective) for confidence in PERCENTS]
    assert sizes == sorted(sizes)
    sizes = [size_for(lot, PERCENTS[3], part) for part in PARTS]
    assert sizes == sorted(sizes, reverse=True)


def test_five_percent_of_41_is_three_nodes() -> None:
    """A part of a node is a node: two of 41 are less than 5 %."""
    assert defective_in(41, Fraction(5, 100)) == 3
    assert defective_in(40, Fraction(5, 100)) == 2


@pytest.mark.parametrize("text", ["95", "95 %", " 95.0", "95.00%"])
def test_percent_takes_what_people_type(text: str) -> None:
    """With or without its sign, it is the same exact fraction."""
    assert percent(text, "confidence") == Fraction(19, 20)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0", "confidence: '0' is not above 0 and below 100"),
        ("100", "confidence: '100' is not above 0 and below 100"),
        ("2,5", "confidence: '2,5' is not a percentage"),
        ("1/0", "confidence: '1/0' is not a percentage"),
        ("", "confidence: '' is not a percentage"),
        ("nan", "confidence: 'nan' is not a percentage"),
    ],
)
def test_percent_refuses_what_is_none(text: str, message: str) -> None:
    """The message names what was meant, the text, and what was expected."""
    with pytest.raises(InputProblems) as caught:
        percent(text, "confidence")
    assert caught.value.problems[0].message == message


def test_what_cannot_be_shown_is_refused() -> None:
    """5 % of 20 nodes is one node; a sample that lets one pass can show nothing of that."""
    with pytest.raises(InputProblems, match=r"5 % of 20 nodes is 1: a sample that accepts 1 shows nothing"):
        size_for(20, Fraction(95, 100), Fraction(5, 100), accept=1)
    with pytest.raises(InputProblems, match="no node to draw from"):
        size_for(0, Fraction(95, 100), Fraction(5, 100))
    with pytest.raises(InputProblems, match="accept number is -1"):
        size_for(20, Fraction(95, 100), Fraction(5, 100), accept=-1)
