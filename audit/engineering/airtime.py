"""Airtime: how long a frame is on air, and what share of the time a node and a network use."""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum

from audit.engineering.domain import not_negative, part, positive, whole_down

SECONDS_AN_HOUR = 3600


def frame_bits(
    payload_bytes: int,
    *,
    preamble_bytes: int = 0,
    sync_bytes: int = 0,
    header_bytes: int = 0,
    check_bytes: int = 0,
) -> int:
    """Return the bits of a frame: everything that is sent, not the payload alone."""
    parts = {
        "payload_bytes": payload_bytes,
        "preamble_bytes": preamble_bytes,
        "sync_bytes": sync_bytes,
        "header_bytes": header_bytes,
        "check_bytes": check_bytes,
    }
    not_negative(**parts)
    return 8 * sum(parts.values())


def frame_s(bits: float, rate_bit_s: float) -> float:
    """Return how long a frame is on air, in seconds: bits ÷ air rate in bits a second."""
    positive(bits=bits, rate_bit_s=rate_bit_s)
    return bits / rate_bit_s


def duty(airtime_s: float, interval_s: float, frames: float = 1.0) -> float:
    """Return the share of the time that a node is on air, from 0 to 1.

    `frames` is how many are sent in each interval on average: more than 1 if frames are repeated
    (`aloha.tries_on_average`), or if acknowledgements of the same length are included.

    Raises ValueError if the frames do not fit the interval.
    """
    positive(airtime_s=airtime_s, interval_s=interval_s)
    not_negative(frames=frames)
    share = airtime_s * frames / interval_s
    if share > 1:
        raise ValueError(
            f"{airtime_s * frames:g} s on air every {interval_s:g} s do not fit -- "
            "lengthen the interval, or raise the air rate"
        )
    return share


def load(duties: Iterable[float]) -> float:
    """Return the load that nodes together offer to their channel: the sum of their duties.

    It may be above 1, which means that the channel cannot carry it.
    """
    shares = list(duties)
    for share in shares:
        part(duty=share)
    return fsum(shares)


def airtime_s_per_hour(share: float) -> float:
    """Return a duty in seconds on air an hour: 1 % is 36 s."""
    part(share=share)
    return share * SECONDS_AN_HOUR


def nodes_left(load_now: float, load_limit: float, duty_of_one: float) -> int:
    """Return how many more nodes with a given duty the channel can take before its load reaches a limit.

    The limit is that of a licence, of a schedule (1), or of acceptable collisions
    (`aloha.pure_load_at_collision`). The result is 0 if the limit is reached already.
    """
    not_negative(load_now=load_now, load_limit=load_limit)
    positive(duty_of_one=duty_of_one)
    return max(0, whole_down((load_limit - load_now) / duty_of_one))
