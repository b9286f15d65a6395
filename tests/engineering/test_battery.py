"""Battery: average current, usable capacity, and years."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from audit.engineering.battery import (
    HOURS_A_YEAR,
    Draw,
    average_current_ma,
    life_h,
    life_years,
    transmitting,
    usable_capacity_ah,
)
from tests.engineering.numbers import NEGATIVE, NOT_POSITIVE, between

CAPACITIES_AH, CURRENTS_MA, LOST = between(0.1, 100), between(0.001, 50), between(0, 0.2)
LAST_DIGITS = 1e-12
"""What rounding may make of two lives that are as good as equal."""


def test_a_node_by_hand() -> None:
    """10 µA asleep; 5 mA for 1 s each minute; two tries of 0.1 s at 40 mA each five minutes."""
    draws = [Draw(5, 1, 60), transmitting(40, 0.1, 300, tries=2)]
    busy = 1 / 60 + 0.2 / 300
    expected_ma = 0.010 * (1 - busy) + 5 / 60 + 40 * 0.2 / 300
    assert average_current_ma(0.010, draws) == pytest.approx(expected_ma)


def test_a_node_that_only_sleeps() -> None:
    """Draws its sleep current."""
    assert average_current_ma(0.010, []) == 0.010


def test_a_node_that_never_sleeps() -> None:
    """Busy all the time is allowed, more is not."""
    assert average_current_ma(0.010, [Draw(5, 60, 60)]) == 5
    with pytest.raises(ValueError, match="busy 110% of the time"):
        average_current_ma(0.010, [Draw(5, 60, 60), Draw(20, 6, 60)])


@given(sleep_ma=between(0, 1), currents=st.lists(CURRENTS_MA, min_size=1, max_size=5), share=between(0, 0.2))
def test_the_average_lies_between(sleep_ma: float, currents: list[float], share: float) -> None:
    """The least and the greatest of the currents."""
    average_ma = average_current_ma(sleep_ma, [Draw(current, share * 10, 10) for current in currents])
    assert min(sleep_ma, *currents) - 1e-9 <= average_ma <= max(sleep_ma, *currents) + 1e-9


@given(interval_s=between(10, 3600), factor=between(1, 20), tries=between(1, 5))
def test_reporting_less_often_never_costs_more(interval_s: float, factor: float, tries: float) -> None:
    """And repeating more never costs less."""

    def average_ma(interval_s: float, tries: float) -> float:
        return average_current_ma(0.010, [transmitting(40, 0.1, interval_s, tries)])

    assert average_ma(interval_s * factor, tries) <= average_ma(interval_s, tries) + 1e-12
    assert average_ma(interval_s, tries) >= average_ma(interval_s, 1)


def test_capacity_is_what_is_left_of_the_rated() -> None:
    """The shares multiply."""
    assert usable_capacity_ah(19, temperature=0.8, current=0.9, cut_off=0.95) == pytest.approx(12.996)
    assert usable_capacity_ah(19) == 19


@pytest.mark.parametrize("share", [1.01, 80, *NOT_POSITIVE])
@pytest.mark.parametrize("name", ["temperature", "current", "cut_off"])
def test_shares_of_capacity(name: str, share: float) -> None:
    """80 is a percentage, not a share; the message says of what."""
    with pytest.raises(ValueError, match=f"^{name} is"):
        usable_capacity_ah(19, **{name: share})


@given(capacity_ah=CAPACITIES_AH, average_ma=CURRENTS_MA)
def test_without_self_discharge_it_is_charge_by_current(capacity_ah: float, average_ma: float) -> None:
    """Hours = Ah ÷ A."""
    assert life_h(capacity_ah, average_ma) == pytest.approx(capacity_ah / average_ma * 1000)


@given(capacity_ah=CAPACITIES_AH, average_ma=CURRENTS_MA, lost=LOST, more=between(0, 0.5))
@example(capacity_ah=0.25, average_ma=6.0, lost=2.2250738585e-313, more=2.2250738585e-313)
def test_self_discharge_only_shortens(
    capacity_ah: float, average_ma: float, lost: float, more: float
) -> None:
    """The more is lost, the sooner it ends; with next to no loss it is that without."""
    assert life_h(capacity_ah, average_ma, lost + more) <= life_h(capacity_ah, average_ma, lost) * (1 + 1e-9)
    nearly = life_h(capacity_ah, average_ma, 1e-12)
    assert nearly == pytest.approx(life_h(capacity_ah, average_ma), rel=1e-6)


@given(capacity_ah=CAPACITIES_AH, average_ma=CURRENTS_MA, lost=LOST, factor=between(1, 10))
@example(capacity_ah=67.0, average_ma=0.189453125, lost=0.19140625, factor=1.0000000000000002)
@example(capacity_ah=33.0, average_ma=0.125, lost=0.189453125, factor=1.0000000000000002)
def test_life_grows_with_capacity_and_falls_with_current(
    capacity_ah: float, average_ma: float, lost: float, factor: float
) -> None:
    """Only the ratio of both counts."""
    years = life_years(capacity_ah, average_ma, lost)
    assert life_years(capacity_ah * factor, average_ma * factor, lost) == pytest.approx(years)
    assert life_years(capacity_ah * factor, average_ma, lost) >= years * (1 - LAST_DIGITS)
    assert life_years(capacity_ah, average_ma * factor, lost) <= years * (1 + LAST_DIGITS)


def test_an_unused_battery_loses_its_share_in_a_year() -> None:
    """With a load of next to nothing half of the charge that is halved each year is left after one year."""
    full_h = life_h(10, 1e-9, 0.5)
    half_h = life_h(5, 1e-9, 0.5)
    assert full_h - half_h == pytest.approx(HOURS_A_YEAR, rel=1e-6)


@pytest.mark.parametrize("lost", [1, 1.5, *NEGATIVE])
def test_self_discharge_is_a_share(lost: float) -> None:
    """1 could be meant as 1 %: it is asked for."""
    with pytest.raises(ValueError, match="self_discharge_per_year"):
        life_h(19, 0.1, lost)


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_nothing_lives_on_nothing(wrong: float) -> None:
    """Capacities, currents and times are above 0."""
    with pytest.raises(ValueError, match="average_ma"):
        life_h(19, wrong)
    with pytest.raises(ValueError, match="capacity_ah"):
        life_years(wrong, 0.1)
    with pytest.raises(ValueError, match="interval_s"):
        average_current_ma(0.01, [Draw(5, 1, wrong)])


@pytest.mark.parametrize("wrong", NEGATIVE)
def test_draws_are_not_negative(wrong: float) -> None:
    """Neither currents nor durations."""
    with pytest.raises(ValueError, match="current_ma"):
        average_current_ma(0.01, [Draw(wrong, 1, 60)])
    with pytest.raises(ValueError, match="duration_s"):
        average_current_ma(0.01, [Draw(5, wrong, 60)])
    with pytest.raises(ValueError, match="sleep_ma"):
        average_current_ma(wrong, [])
