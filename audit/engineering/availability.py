"""Availability of a link with a fade margin, and the margin needed for an availability.

Rayleigh fading changes with time (many paths, none of which dominates): the availability is a share of the
time. Log-normal shadowing is fixed (hills, tanks, trees): the availability is a share of the places at that
distance. Both are models, and neither includes failures of the devices.
"""

from __future__ import annotations

from math import erfc, exp, expm1, log1p, sqrt

from audit.engineering.decibels import decibels, ratio
from audit.engineering.domain import finite, inner_part, positive


def rayleigh_availability(margin_db: float) -> float:
    """Return the share of time that a Rayleigh fading signal is above the sensitivity, exp (−1 ÷ M).

    `margin_db` is from the sensitivity up to the mean power. Against the median, which is 1.59 dB below the
    mean, the figures differ.

    Source: common practice; the power of a Rayleigh fading signal is exponentially distributed.
    """
    return exp(-ratio(-margin_db))


def rayleigh_outage(margin_db: float) -> float:
    """Return the share of time without a link, 1 − `rayleigh_availability`, exact even if small."""
    return -expm1(-ratio(-margin_db))


def rayleigh_margin_db(availability: float) -> float:
    """Return the margin that `rayleigh_availability` needs, in dB.

    About 10 dB for 90 %, and 10 dB more for each further nine. Raises ValueError for 0 or 1: no margin
    gives them.
    """
    inner_part(availability=availability)
    return -decibels(-log1p(availability - 1))


def log_normal_availability(margin_db: float, sigma_db: float) -> float:
    """Return the share of places at which a shadowed signal is above the sensitivity.

    `margin_db` is from the sensitivity up to the median signal at that distance, `sigma_db` the standard
    deviation of the shadowing: 4 to 12 dB out of doors, from memory, not verified.

    Source: common practice; shadowing in dB is normally distributed.
    """
    finite(margin_db=margin_db)
    positive(sigma_db=sigma_db)
    return erfc(-margin_db / sigma_db / sqrt(2)) / 2


def log_normal_margin_db(availability: float, sigma_db: float) -> float:
    """Return the margin that `log_normal_availability` needs, in dB; negative below one half.

    Raises ValueError for 0 or 1: no margin gives them.
    """
    inner_part(availability=availability)
    positive(sigma_db=sigma_db)
    from statistics import NormalDist

    return sigma_db * NormalDist().inv_cdf(availability)
