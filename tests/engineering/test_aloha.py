"""ALOHA: throughput, collisions, repeats, and their inverses."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.aloha import (
    PURE_PEAK,
    SLOTTED_PEAK,
    delivered,
    finite_slotted_throughput,
    periodic_collision,
    pure_collision,
    pure_load_at_collision,
    pure_throughput,
    slotted_collision,
    slotted_load_at_collision,
    slotted_throughput,
    tries_on_average,
)
from tests.engineering.numbers import NEGATIVE, NOT_A_PART, NOT_POSITIVE, between

LOADS = between(0, 5)
TRIES = st.integers(1, 10)


@given(load=LOADS)
def test_what_gets_through_is_what_does_not_collide(load: float) -> None:
    """Throughput = load × (1 − collision)."""
    assert pure_throughput(load) == pytest.approx(load * (1 - pure_collision(load)))
    assert slotted_throughput(load) == pytest.approx(load * (1 - slotted_collision(load)))


@given(load=LOADS)
def test_slots_are_as_good_at_twice_the_load(load: float) -> None:
    """A frame is vulnerable for one frame time instead of two."""
    assert slotted_collision(2 * load) == pytest.approx(pure_collision(load))
    assert slotted_throughput(2 * load) == pytest.approx(2 * pure_throughput(load))


@given(load=LOADS)
def test_no_load_carries_more_than_the_peak(load: float) -> None:
    """Neither kind."""
    assert pure_throughput(load) <= PURE_PEAK
    assert slotted_throughput(load) <= SLOTTED_PEAK


@given(probability=between(0, 0.999))
def test_the_load_at_a_collision_comes_back(probability: float) -> None:
    """Both kinds."""
    assert pure_collision(pure_load_at_collision(probability)) == pytest.approx(probability)
    assert slotted_collision(slotted_load_at_collision(probability)) == pytest.approx(probability)


def test_no_load_makes_a_collision_certain() -> None:
    """It comes ever nearer."""
    with pytest.raises(ValueError, match="no load makes a collision certain"):
        pure_load_at_collision(1)


@given(nodes=st.integers(2, 300), frame_s=between(0.001, 0.1), interval_s=between(10, 3600))
def test_periodic_nodes_are_nearly_poisson(nodes: int, frame_s: float, interval_s: float) -> None:
    """For short frames the exact form is that of the others' load, and slightly above it."""
    exact = periodic_collision(nodes, frame_s, interval_s)
    poisson = pure_collision((nodes - 1) * frame_s / interval_s)
    assert poisson <= exact * (1 + 1e-9)
    assert exact - poisson <= (nodes - 1) * (2 * frame_s / interval_s) ** 2


def test_periodic_nodes_by_trial() -> None:
    """20 000 draws of 50 nodes' moments, on an interval that closes upon itself."""
    at_random, nodes, frame_s, interval_s = Random(20260331), 50, 0.05, 30.0
    draws, met = 20_000, 0
    for _ in range(draws):
        gaps = (at_random.uniform(0, interval_s) for _ in range(nodes - 1))
        met += any(gap < frame_s or gap > interval_s - frame_s for gap in gaps)
    assert met / draws == pytest.approx(periodic_collision(nodes, frame_s, interval_s), abs=0.01)


def test_periodic_limits() -> None:
    """Alone there is no collision; where two frames fill the interval it is certain."""
    assert periodic_collision(1, 0.1, 60) == 0
    assert periodic_collision(2, 1, 2) == periodic_collision(5, 3, 2) == 1


@given(nodes=st.integers(1, 200), probability=between(0, 1))
def test_finite_slots_are_best_with_one_sender_in_each(nodes: int, probability: float) -> None:
    """Most gets through where each of N sends in one slot of N."""
    best = finite_slotted_throughput(nodes, 1 / nodes)
    assert finite_slotted_throughput(nodes, probability) <= best * (1 + 1e-9)
    assert SLOTTED_PEAK < best <= 1


@given(collision=between(0, 1), tries=TRIES)
def test_repeats(collision: float, tries: int) -> None:
    """More tries deliver more, and cost between one frame and all of them."""
    assert delivered(collision, tries) <= delivered(collision, tries + 1)
    assert 1 <= tries_on_average(collision, tries) <= tries + 1e-9
    spent = sum(collision**n for n in range(tries))
    assert tries_on_average(collision, tries) == pytest.approx(spent)


@given(collision=between(0, 0.99), tries=TRIES)
def test_each_try_delivers_alike(collision: float, tries: int) -> None:
    """Delivered = tries on average × (1 − collision)."""
    spent = tries_on_average(collision, tries)
    assert delivered(collision, tries) == pytest.approx(spent * (1 - collision))


@pytest.mark.parametrize("load", NEGATIVE)
def test_loads_are_not_negative(load: float) -> None:
    """All four curves."""
    for curve in (pure_throughput, slotted_throughput, pure_collision, slotted_collision):
        with pytest.raises(ValueError, match="load"):
            curve(load)


@pytest.mark.parametrize("collision", NOT_A_PART)
def test_collisions_are_probabilities(collision: float) -> None:
    """From 0 to 1."""
    with pytest.raises(ValueError, match="collision"):
        delivered(collision, 3)
    with pytest.raises(ValueError, match="probability"):
        pure_load_at_collision(collision)


def test_there_is_a_try_and_a_node() -> None:
    """Neither may be 0."""
    with pytest.raises(ValueError, match="tries is 0"):
        tries_on_average(0.1, 0)
    with pytest.raises(ValueError, match="nodes is 0"):
        periodic_collision(0, 0.1, 60)


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_frames_and_intervals_are_above_0(wrong: float) -> None:
    """No division by nothing."""
    with pytest.raises(ValueError, match="interval_s"):
        periodic_collision(5, 0.1, wrong)
