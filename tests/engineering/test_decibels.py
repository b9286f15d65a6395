"""Decibels: there and back, and powers that add."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.decibels import dbm, decibels, ratio, sum_dbm
from tests.engineering.numbers import LEVELS_DBM, NOT_POSITIVE, between


@given(level_db=between(-1000, 1000))
def test_ratios_there_and_back(level_db: float) -> None:
    """A ratio in decibels comes back."""
    assert decibels(ratio(level_db)) == pytest.approx(level_db, abs=1e-9)


@given(power_dbm=LEVELS_DBM)
def test_powers_there_and_back(power_dbm: float) -> None:
    """A power in dBm comes back."""
    assert dbm(ratio(power_dbm)) == pytest.approx(power_dbm, abs=1e-9)


@given(power_dbm=LEVELS_DBM, signals=st.integers(1, 100))
def test_equal_powers_add_by_their_number(power_dbm: float, signals: int) -> None:
    """N equal signals are 10 log N above one."""
    assert sum_dbm([power_dbm] * signals) - power_dbm == pytest.approx(decibels(signals), abs=1e-9)


@given(powers_dbm=st.lists(LEVELS_DBM, min_size=1, max_size=9))
def test_a_sum_is_at_least_its_greatest_part(powers_dbm: list[float]) -> None:
    """And at most all of them as great as the greatest."""
    greatest = max(powers_dbm)
    assert greatest - 1e-9 <= sum_dbm(powers_dbm) <= greatest + decibels(len(powers_dbm)) + 1e-9


@pytest.mark.parametrize("power", NOT_POSITIVE)
def test_no_decibels_of_nothing(power: float) -> None:
    """Zero power has no level."""
    for convert in (dbm, decibels):
        with pytest.raises(ValueError, match=r"has to be above 0|finite"):
            convert(power)


def test_no_sum_of_nothing() -> None:
    """No signals have no level together."""
    with pytest.raises(ValueError, match="no powers to add"):
        sum_dbm([])


@pytest.mark.parametrize("level_db", [1000.1, -1e6, 1e300])
def test_absurd_levels_are_a_slip(level_db: float) -> None:
    """A level that no path has is refused before it overflows."""
    with pytest.raises(ValueError, match="beyond any radio path"):
        ratio(level_db)
