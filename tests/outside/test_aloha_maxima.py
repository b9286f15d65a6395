"""ALOHA against its published maxima and examples.

Sources:

- N. Abramson, The ALOHA System, AFIPS FJCC 37 (1970): pure ALOHA carries at most 1 ÷ 2e; L. G. Roberts,
  ALOHA packet system with and without slots and capture, ACM SIGCOMM CCR 5(2) (1975): slotted, 1 ÷ e.
  Secondary: courses of two universities that quote them; the papers were not read.
- STATIONS: homework with its solution: 100 stations, 1 Mbit/s, 1000-bit frames, two a second (read).
- SHARE: practice problem with its solution: 100 kbit/s slotted, 500 bits each 5 s, efficiency 0.368 (read).
- SLOTS: homework with its solution: 30 tries a second in 25.6 slots a second (read).
- CMSC417: University of Maryland, slides: N p (1 − p)^(N − 1) (read in an excerpt).
- TABLE, PERIODIC: calculated independently of the code.
"""

from __future__ import annotations

from math import e

import pytest

from audit.engineering.airtime import duty, frame_s, load
from audit.engineering.aloha import (
    PURE_PEAK,
    SLOTTED_PEAK,
    finite_slotted_throughput,
    periodic_collision,
    pure_collision,
    pure_throughput,
    slotted_collision,
    slotted_throughput,
)


def test_maxima() -> None:
    """The maxima are Abramson's at half a frame per frame time, and Roberts's at one."""
    assert pure_throughput(0.5) == pytest.approx(1 / (2 * e)) == pytest.approx(PURE_PEAK)
    assert slotted_throughput(1) == pytest.approx(1 / e) == pytest.approx(SLOTTED_PEAK)
    peaks = [PURE_PEAK, SLOTTED_PEAK]
    assert peaks == pytest.approx([0.18393972058572117, 0.36787944117144233])


@pytest.mark.parametrize(
    ("load", "through_pure", "through_slotted", "meets_pure", "meets_slotted"),
    [
        (0.05, 0.045242, 0.047561, 0.095163, 0.048771),
        (0.1, 0.081873, 0.090484, 0.181269, 0.095163),
        (0.2, 0.134064, 0.163746, 0.329680, 0.181269),
        (0.5, 0.183940, 0.303265, 0.632121, 0.393469),
        (1, 0.135335, 0.367879, 0.864665, 0.632121),
        (2, 0.036631, 0.270671, 0.981684, 0.864665),
    ],
)
def test_a_table(
    load: float, through_pure: float, through_slotted: float, meets_pure: float, meets_slotted: float
) -> None:
    """TABLE: to six decimals."""
    found = pure_throughput(load), slotted_throughput(load), pure_collision(load), slotted_collision(load)
    assert found == pytest.approx((through_pure, through_slotted, meets_pure, meets_slotted), abs=5e-7)


def test_a_hundred_stations() -> None:
    """STATIONS: with a load of 0.2, pure ALOHA carries 13.40 % and slotted ALOHA 16.37 %."""
    offered = load([duty(frame_s(1000, 1_000_000), 0.5)] * 100)
    assert offered == pytest.approx(0.2)
    assert pure_throughput(offered) == pytest.approx(0.1340, abs=1e-4)
    assert slotted_throughput(offered) == pytest.approx(0.1637, abs=1e-4)


def test_how_many_stations() -> None:
    """SHARE: at the peak there may be 368 stations."""
    duty_of_one = duty(frame_s(500, 100_000), 5)
    assert SLOTTED_PEAK / duty_of_one == pytest.approx(368, abs=0.5)


def test_more_tries_than_slots() -> None:
    """SLOTS: a load of 1.171875 carries 0.3631 frames per slot, or 9.3 frames a second."""
    through = slotted_throughput(30 / 25.6)
    assert through == pytest.approx(0.3631, abs=1e-4)  # 0.36303; the solution uses 2.718 for e
    assert through * 25.6 == pytest.approx(9.3, abs=0.05)


def test_finite_stations() -> None:
    """CMSC417: many stations, each sending in one slot of N, approach the peak of slotted ALOHA."""
    assert finite_slotted_throughput(2, 0.5) == 0.5
    assert finite_slotted_throughput(100_000, 1 / 100_000) == pytest.approx(1 / e, rel=1e-5)


def test_periodic_stations() -> None:
    """PERIODIC: 100 nodes, 10 ms frames, once a minute: 3.24668 %, against 3.24614 % at random."""
    assert periodic_collision(100, 0.01, 60) == pytest.approx(0.0324668, abs=5e-8)
    assert pure_collision(99 * 0.01 / 60) == pytest.approx(0.0324614, abs=5e-8)
