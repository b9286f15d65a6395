"""Repeats at random against a closed form, sums by hand, and a network played frame by frame.

Sources:

- LAMBERT: without a limit of tries, G exp (−2 G) = S (N. Abramson, 1970, from secondary sources). Its lesser
  solution is G = −W₀ (−2 S) ÷ 2 with Lambert's W, from scipy.special.
- TWO: with two tries G = S (2 − exp (−2 G)), solved by scipy.optimize.brentq.
- PLAYED: 200 nodes, reports and waits at random, seeded; any two frames that overlap are both lost.
"""

from __future__ import annotations

from heapq import heappop, heappush
from math import exp
from random import Random

import pytest
from scipy.optimize import brentq
from scipy.special import lambertw

from audit.engineering.aloha import load_with_repeats, pure_collision, tries_on_average

FRAME_S, INTERVAL_S, WAIT_S, NODES, TRIES = 0.05, 120.0, 10.0, 200, 3
PLAYED_S = 40_000.0


@pytest.mark.parametrize("once", [0.01, 0.05, 0.1, 0.15, 0.18])
def test_frames_repeated_until_they_get_through(once: float) -> None:
    """LAMBERT: a hundred tries are as good as any number, up to nearly the peak of pure ALOHA."""
    load = load_with_repeats({100: once}, pure_collision)
    assert load == pytest.approx(-lambertw(-2 * once).real / 2, rel=1e-5)


@pytest.mark.parametrize("once", [0.01, 0.1, 0.3, 1.0])
def test_two_tries(once: float) -> None:
    """TWO: at a load sent once of 0.1, by hand: 0.1 × (2 − exp (−0.2432)) = 0.1216."""
    solved = brentq(lambda load: load - once * (2 - exp(-2 * load)), once, 2 * once)
    assert load_with_repeats({2: once}, pure_collision) == pytest.approx(solved, rel=1e-6)


def test_a_network_played() -> None:
    """PLAYED: frames collide, and are sent, as often as calculated, to a hundredth."""
    frames, reports, lost = played(Random(20260331))

    collision = pure_collision(load_with_repeats({TRIES: NODES * FRAME_S / INTERVAL_S}, pure_collision))

    assert lost / frames == pytest.approx(collision, abs=0.01)
    assert frames / reports == pytest.approx(tries_on_average(collision, TRIES), abs=0.01)


def played(at_random: Random) -> tuple[int, int, int]:
    """Return how many frames were sent for how many reports, and how many of them overlapped another."""
    frames = lost = 0
    moments: list[tuple[float, int, bool]] = []  # when; which try; whether a frame ends, not begins
    at = 0.0
    while (at := at + at_random.expovariate(NODES / INTERVAL_S)) < PLAYED_S:
        moments.append((at, 1, False))
    reports = len(moments)
    on_air: list[bool] = []  # of each frame on air, the first sent first: whether it has overlapped another
    while moments:
        now, nth, ends = heappop(moments)
        if not ends:
            frames += 1
            on_air = [True] * len(on_air) + [bool(on_air)]
            heappush(moments, (now + FRAME_S, nth, True))
        elif on_air.pop(0):
            lost += 1
            if nth < TRIES:
                heappush(moments, (now + at_random.uniform(0, WAIT_S), nth + 1, False))
    return frames, reports, lost
