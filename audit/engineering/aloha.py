"""ALOHA: nodes that send when they have something to send, at any moment (pure) or at slots' edges (slotted).

`load` is the time on air that is offered, repeated frames included, in frames a frame time: what
`airtime.load` adds up. Frames are of one length and come at random, unless a function says otherwise;
frames that overlap are all lost, so that a receiver that captures the stronger one does better.

Sources: N. Abramson, The ALOHA System, AFIPS Fall Joint Computer Conference 37 (1970); L. G. Roberts, ALOHA
packet system with and without slots and capture, ACM SIGCOMM CCR 5(2) (1975). Secondary: university
courses that quote them; the papers were not read.
"""

from __future__ import annotations

from collections.abc import Callable
from math import e, exp, expm1, log1p

from audit.engineering.domain import count, not_negative, part, positive

PURE_PEAK = 1 / (2 * e)
"""Most frames a frame time that pure ALOHA carries, at a load of 0.5."""
SLOTTED_PEAK = 1 / e
"""Most frames a slot that slotted ALOHA carries, at a load of 1."""
STEPS = 200
"""Halvings of a range that leave nothing of it in floating point."""
ROUNDS = 100_000
"""Most rounds of repeating; next to the load at which repeating runs away they become many."""


def pure_throughput(load: float) -> float:
    """Return the frames that get through a frame time, G exp (−2 G)."""
    not_negative(load=load)
    return load * exp(-2 * load)


def slotted_throughput(load: float) -> float:
    """Return the frames that get through a slot, G exp (−G)."""
    not_negative(load=load)
    return load * exp(-load)


def pure_collision(load: float) -> float:
    """Return the probability that a frame meets another one, 1 − exp (−2 G)."""
    not_negative(load=load)
    return -expm1(-2 * load)


def slotted_collision(load: float) -> float:
    """Return the probability that a frame meets another one in its slot, 1 − exp (−G)."""
    not_negative(load=load)
    return -expm1(-load)


def pure_load_at_collision(probability: float) -> float:
    """Return the load at which `pure_collision` is `probability`. Raises ValueError for 1."""
    return _load_at(probability) / 2


def slotted_load_at_collision(probability: float) -> float:
    """Return the load at which `slotted_collision` is `probability`. Raises ValueError for 1."""
    return _load_at(probability)


def pure_load(throughput: float) -> float:
    """Return the load that carries a throughput, the stable one of two, from 0 to 0.5.

    Raises ValueError above 1 ÷ 2e, about 0.184, which pure ALOHA cannot carry.
    """
    return _least_load(throughput, pure_throughput, 0.5, PURE_PEAK)


def slotted_load(throughput: float) -> float:
    """Return the load that carries a throughput, the stable one of two, from 0 to 1.

    Raises ValueError above 1 ÷ e, about 0.368, which slotted ALOHA cannot carry.
    """
    return _least_load(throughput, slotted_throughput, 1.0, SLOTTED_PEAK)


def periodic_collision(nodes: int, frame_s: float, interval_s: float) -> float:
    """Return the probability that a node's frame meets another's, each node sending once an interval.

    The nodes' moments are independent and even over the interval: 1 − (1 − 2 T ÷ P)^(N − 1), exact for a
    finite number of nodes. Limit: 1 where two frames fill the interval.
    """
    count(nodes=nodes)
    positive(frame_s=frame_s, interval_s=interval_s)
    if nodes == 1:
        return 0.0
    hit = 2 * frame_s / interval_s
    return -expm1((nodes - 1) * log1p(-hit)) if hit < 1 else 1.0


def finite_slotted_throughput(nodes: int, probability: float) -> float:
    """Return the frames that get through a slot in which each of N nodes may send, N p (1 − p)^(N − 1).

    `probability` is that of one node's sending in the slot.

    Source: University of Maryland, course CMSC417, slides on the MAC layer (secondary).
    """
    count(nodes=nodes)
    part(probability=probability)
    return nodes * probability * float((1 - probability) ** (nodes - 1))


def delivered(collision: float, tries: int) -> float:
    """Return the probability that one of `tries` gets through, each meeting another with that probability."""
    part(collision=collision)
    count(tries=tries)
    return 1 - float(collision**tries)


def tries_on_average(collision: float, tries: int) -> float:
    """Return how often a frame is sent on average, if repeated until it gets through or `tries` are used up.

    (1 − cⁿ) ÷ (1 − c). Limit: `tries` where every one collides.
    """
    part(collision=collision)
    count(tries=tries)
    return (1 - float(collision**tries)) / (1 - collision) if collision < 1 else float(tries)


def load_with_repeats(new_load: float, tries: int, collision: Callable[[float], float]) -> float:
    """Return the load once frames that collided are sent again, at most `tries` times in all.

    Repeats collide in turn, so the load is the least one that feeds itself: G = new × tries on average at
    G. `collision` is `pure_collision` or `slotted_collision`. Where the channel is overloaded, it comes
    out near `new_load` × `tries`, and nearly nothing gets through.
    """
    not_negative(new_load=new_load)
    count(tries=tries)
    load = new_load
    for _ in range(ROUNDS):
        fed = new_load * tries_on_average(collision(load), tries)
        if fed <= load * (1 + 1e-12):
            break
        load = fed
    return load


def _load_at(probability: float) -> float:
    part(probability=probability)
    if probability == 1:
        raise ValueError("no load makes a collision certain -- give a probability below 1")
    return -log1p(-probability)


def _least_load(
    throughput: float, carried: Callable[[float], float], load_at_peak: float, peak: float
) -> float:
    """Return the load below the peak that carries a throughput, by halving."""
    not_negative(throughput=throughput)
    if throughput > peak:
        raise ValueError(f"throughput is {throughput:g} -- ALOHA of this kind carries {peak:.3f} at most")
    low, high = 0.0, load_at_peak
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if carried(middle) < throughput else (low, middle)
    return high
