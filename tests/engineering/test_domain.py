"""Guards: one message, with the name, the number and what was expected."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.domain import (
    count,
    finite,
    inner_part,
    not_negative,
    part,
    positive,
    whole_down,
    whole_up,
)
from tests.engineering.numbers import NEGATIVE, NOT_A_PART, NOT_FINITE, NOT_POSITIVE


@pytest.mark.parametrize("number", NOT_POSITIVE)
def test_positive(number: float) -> None:
    """A message names the argument."""
    with pytest.raises(ValueError, match="distance_m"):
        positive(distance_m=number)


@pytest.mark.parametrize("number", NEGATIVE)
def test_not_negative(number: float) -> None:
    """0 passes, less does not."""
    not_negative(delay_s=0)
    with pytest.raises(ValueError, match="delay_s"):
        not_negative(delay_s=number)


@pytest.mark.parametrize("number", NOT_A_PART)
def test_part(number: float) -> None:
    """A share is from 0 to 1."""
    part(duty=0)
    part(duty=1)
    with pytest.raises(ValueError, match="duty"):
        part(duty=number)


@pytest.mark.parametrize("number", [0, 1, *NOT_A_PART])
def test_inner_part(number: float) -> None:
    """A probability that is wanted is neither 0 nor 1."""
    inner_part(availability=0.5)
    with pytest.raises(ValueError, match="availability"):
        inner_part(availability=number)


@pytest.mark.parametrize("number", NOT_FINITE)
def test_finite(number: float) -> None:
    """Infinity and what is not a number are refused."""
    with pytest.raises(ValueError, match="give a finite number"):
        finite(level_db=number)


@pytest.mark.parametrize("number", [0, -1])
def test_count(number: int) -> None:
    """There has to be at least one."""
    count(nodes=1)
    with pytest.raises(ValueError, match="nodes"):
        count(nodes=number)


def test_the_message_is_one_sentence() -> None:
    """What is wrong, and what it has to be."""
    with pytest.raises(ValueError, match=r"^distance_m is -3 -- it has to be above 0$"):
        positive(distance_m=-3)


@given(whole=st.integers(0, 10_000), step=st.sampled_from([0.1, 0.2, 0.3, 0.7, 1.1, 2.5]))
def test_whole_quotients_stay_whole(whole: int, step: float) -> None:
    """`1.1 / 0.1` is 11.000000000000002 in binary, and 11 here."""
    assert whole_up(whole * step / step) == whole_down(whole * step / step) == whole


@given(whole=st.integers(-1000, 1000), rest=st.floats(0.001, 0.999))
def test_other_quotients_are_rounded(whole: int, rest: float) -> None:
    """Up and down are one apart for a number that is not whole."""
    assert (whole_down(whole + rest), whole_up(whole + rest)) == (whole, whole + 1)
