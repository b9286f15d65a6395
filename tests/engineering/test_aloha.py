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
    load_with_repeats,
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


@given(once=st.dictionaries(TRIES, between(0, 1), min_size=1), slotted=st.booleans())
def test_a_load_with_repeats(once: dict[int, float], slotted: bool) -> None:
    """It lies between all sent once and all tries used up, and what gets through is what was to be sent."""
    collision = slotted_collision if slotted else pure_collision
    load = load_with_repeats(once, collision)
    assert sum(once.values()) <= load * (1 + 1e-9)
    assert load <= sum(tries * first for tries, first in once.items()) * (1 + 1e-9)
    through = sum(first * delivered(collision(load), tries) for tries, first in once.items())
    assert load * (1 - collision(load)) == pytest.approx(through, rel=1e-4, abs=1e-9)


@given(once=between(0, 1), more=between(0, 1), tries=TRIES)
def test_more_to_send_and_more_tries_are_never_less_load(once: float, more: float, tries: int) -> None:
    """Both add frames, and these cause repeats."""
    load = load_with_repeats({tries: once}, pure_collision)
    assert load <= load_with_repeats({tries: once + more}, pure_collision) * (1 + 1e-4)
    assert load <= load_with_repeats({tries + 1: once}, pure_collision) * (1 + 1e-4)


def test_repeats_of_some_frames_only() -> None:
    """Frames sent once are not repeated, whatever the others do; and without any there is no load."""
    assert load_with_repeats({1: 0.3}, pure_collision) == pytest.approx(0.3)
    assert load_with_repeats({}, pure_collision) == 0
    mixed = load_with_repeats({1: 0.1, 2: 0.1}, pure_collision)
    assert mixed == pytest.approx(0.1 + 0.1 * (1 + pure_collision(mixed)))


@pytest.mark.parametrize("once", [0.183, 0.1839397, 0.1839398, 0.2])
def test_a_load_settles_about_the_peak(once: float) -> None:
    """Below the peak repeats get through in the end; above it they fill the channel until tries run out."""
    load = load_with_repeats({100: once}, pure_collision)
    assert load < 0.5 if once < PURE_PEAK else load > 18


@pytest.mark.parametrize("load", NEGATIVE)
def test_loads_are_not_negative(load: float) -> None:
    """All four curves."""
    for curve in (pure_throughput, slotted_throughput, pure_collision, slotted_collision):
        with pytest.raises(ValueError, match="load"):
            curve(load)
    with pytest.raises(ValueError, match=r"once\[2\]"):
        load_with_repeats({2: load}, pure_collision)


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
