"""ALOHA: nodes send when they have something to send, at any moment (pure) or when a slot begins (slotted).

`load` is the time on air offered, repeated frames included, in frames per frame time: what `airtime.load`
adds up, or `load_with_repeats` where only the frames sent first are known. Frames are of one length and come
at random, unless a function says otherwise. Overlapping frames are all taken as lost, so a receiver that
captures the stronger one does better.

Sources: N. Abramson, The ALOHA System, AFIPS Fall Joint Computer Conference 37 (1970); L. G. Roberts, ALOHA
packet system with and without slots and capture, ACM SIGCOMM CCR 5(2) (1975). Secondary: university
courses that quote them; the papers were not read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import e, exp, expm1, fsum, log1p

from audit.engineering.domain import count, not_negative, part, positive

PURE_PEAK = 1 / (2 * e)
"""Most frames that pure ALOHA carries per frame time, at a load of 0.5."""
SLOTTED_PEAK = 1 / e
"""Most frames that slotted ALOHA carries per slot, at a load of 1."""
SETTLED = 1e-7
"""Share of the load by which a further round may still raise it once `load_with_repeats` has settled."""


def pure_throughput(load: float) -> float:
    """Return how many frames get through per frame time, G exp (−2 G)."""
    not_negative(load=load)
    return load * exp(-2 * load)


def slotted_throughput(load: float) -> float:
    """Return how many frames get through per slot, G exp (−G)."""
    not_negative(load=load)
    return load * exp(-load)


def pure_collision(load: float) -> float:
    """Return the probability that a frame collides with another one, 1 − exp (−2 G)."""
    not_negative(load=load)
    return -expm1(-2 * load)


def slotted_collision(load: float) -> float:
    """Return the probability that a frame collides with another one in its slot, 1 − exp (−G)."""
    not_negative(load=load)
    return -expm1(-load)


def pure_load_at_collision(probability: float) -> float:
    """Return the load at which `pure_collision` is `probability`. Raises ValueError for 1."""
    return slotted_load_at_collision(probability) / 2


def slotted_load_at_collision(probability: float) -> float:
    """Return the load at which `slotted_collision` is `probability`. Raises ValueError for 1."""
    part(probability=probability)
    if probability == 1:
        raise ValueError("no load makes a collision certain -- give a probability below 1")
    return -log1p(-probability)


def periodic_collision(nodes: int, frame_s: float, interval_s: float) -> float:
    """Return the probability that a node's frame collides, if each node sends once in each interval.

    Their times are independent and spread evenly over the interval: 1 − (1 − 2 T ÷ P)^(N − 1), exact for a
    finite number of nodes. Limit: 1 if two frames fill the interval.
    """
    count(nodes=nodes)
    positive(frame_s=frame_s, interval_s=interval_s)
    if nodes == 1:
        return 0.0
    hit = 2 * frame_s / interval_s
    return -expm1((nodes - 1) * log1p(-hit)) if hit < 1 else 1.0


def finite_slotted_throughput(nodes: int, probability: float) -> float:
    """Return how many frames get through a slot in which each of N nodes may send, N p (1 − p)^(N − 1).

    `probability` is the probability that one node sends in the slot.

    Source: University of Maryland, course CMSC417, slides on the MAC layer (secondary).
    """
    count(nodes=nodes)
    part(probability=probability)
    return nodes * probability * float((1 - probability) ** (nodes - 1))


def delivered(collision: float, tries: int) -> float:
    """Return the probability that one of `tries` gets through, if each collides with this probability."""
    part(collision=collision)
    count(tries=tries)
    return 1 - float(collision**tries)


def tries_on_average(collision: float, tries: int) -> float:
    """Return how often a frame is sent on average, if repeated until it gets through or `tries` are used up.

    1 + c + c² + … + cⁿ⁻¹ = (1 − cⁿ) ÷ (1 − c). Limit: `tries` if every one collides.
    """
    part(collision=collision)
    count(tries=tries)
    return fsum(collision**n for n in range(tries))  # the quotient has no digits left where c is nearly 1


def load_with_repeats(once: Mapping[int, float], collision: Callable[[float], float]) -> float:
    """Return the load with all repeats, from the load of the frames sent first, by their number of tries.

    `once` is tries → load if each frame were sent once; `collision` is `pure_collision` or
    `slotted_collision`. Repeats cause collisions, which cause repeats: G = Σ once × tries on average at
    collision (G). Where several loads are so, the least is returned, at which a network settles that starts
    quiet. It is at least the load sent once, and at most that of all tries.

    Repeats are taken to come at random as well: each waits for some random time, long beside a frame.

    Source: N. Abramson (1970) for frames that are repeated until they get through, where G exp (−2 G) is the
    load sent once; the sum over a limited number of tries is our own.
    """
    not_negative(**{f"once[{tries}]": load for tries, load in once.items()})
    load = fsum(once.values())
    while True:
        colliding = collision(load)
        repeated = fsum(first * tries_on_average(colliding, tries) for tries, first in once.items())
        if repeated - load <= SETTLED * load:
            return repeated
        load = repeated  # from below, each round raises it, up to the least load that does not rise
