"""Networks that share a channel: carrier-to-interference ratio, and how far apart they have to be."""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum

from audit.engineering.decibels import decibels, ratio, sum_dbm
from audit.engineering.domain import count, finite, not_negative, positive
from audit.engineering.path_loss import check_exponent


def carrier_to_interference_db(carrier_dbm: float, interferers_dbm: Iterable[float]) -> float:
    """Return how far, in dB, a wanted signal is above the sum of all other networks' signals on its channel.

    All levels are at the same receiver. Raises ValueError if there is no interferer.
    """
    finite(carrier_dbm=carrier_dbm)
    return carrier_dbm - sum_dbm(interferers_dbm)


def carrier_to_interference_at_db(wanted_m: float, interferers_m: Iterable[float], exponent: float) -> float:
    """Return the carrier-to-interference ratio if all radiate alike and losses grow alike with distance.

    `wanted_m` is the distance of the wanted sender from the receiver, `interferers_m` those of the others.

    Source: V. Garg, Wireless Communications and Networking, 2007, section 5 (secondary: worked examples of
    that book); 10 log (1 ÷ Σ (d ÷ D)ⁿ).
    """
    positive(wanted_m=wanted_m)
    check_exponent(exponent)
    distances_m = list(interferers_m)
    if not distances_m:
        raise ValueError("there are no interferers -- give the distance of at least one")
    for interferer_m in distances_m:
        positive(interferer_m=interferer_m)
    return -decibels(fsum((wanted_m / interferer_m) ** exponent for interferer_m in distances_m))


def interferer_distance_m(
    wanted_m: float, required_db: float, exponent: float, interferers: int = 1, stronger_db: float = 0.0
) -> float:
    """Return how far equal interferers have to be from a receiver for the required ratio, in metres.

    `stronger_db` is how much more they radiate than the wanted sender.
    This is the inverse of `carrier_to_interference_at_db` for equal distances.
    """
    positive(wanted_m=wanted_m)
    check_exponent(exponent)
    finite(required_db=required_db, stronger_db=stronger_db)
    count(interferers=interferers)
    return wanted_m * float((interferers * ratio(required_db + stronger_db)) ** (1 / exponent))


def reuse_distance_m(
    reach_m: float,
    other_reach_m: float,
    required_db: float,
    exponent: float,
    interferers: int = 1,
    stronger_db: float = 0.0,
) -> float:
    """Return how far apart two gateways have to be to use one channel, in metres.

    `reach_m` is the distance of the farthest node of the network that must not be disturbed, `other_reach_m`
    that of the other network. The worst case counts: the gateway listens to its farthest node while the
    other network's farthest node sends from the near side. Since either network may disturb the other,
    callers take the greater of the distances for both ways round.
    """
    not_negative(other_reach_m=other_reach_m)
    return interferer_distance_m(reach_m, required_db, exponent, interferers, stronger_db) + other_reach_m
