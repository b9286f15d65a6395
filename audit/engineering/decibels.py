"""Decibels: from and to ratios and powers."""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum, log10

from audit.engineering.domain import finite, positive

MOST_DB = 1000.0
"""No radio path has a level or loss beyond this; the limit keeps powers of ten within floating point."""


def ratio(level_db: float) -> float:
    """Return the ratio of two powers that is `level_db` decibels.

    Raises ValueError beyond ±1000 dB.
    """
    finite(level_db=level_db)
    if abs(level_db) > MOST_DB:
        raise ValueError(f"{level_db:g} dB is beyond any radio path -- look for a slip in the numbers")
    return float(10 ** (level_db / 10))


def decibels(power_ratio: float) -> float:
    """Return a ratio of two powers in decibels. Raises ValueError unless it is above 0."""
    positive(power_ratio=power_ratio)
    return 10 * log10(power_ratio)


def dbm(power_mw: float) -> float:
    """Return a power in dBm: decibels above one milliwatt. Raises ValueError unless it is above 0."""
    positive(power_mw=power_mw)
    return 10 * log10(power_mw)


def sum_dbm(powers_dbm: Iterable[float]) -> float:
    """Return the total power of several independent signals, in dBm.

    Powers add, not levels: two equal signals are 3.01 dB above one. Raises ValueError if there are none.
    """
    powers_mw = [ratio(power) for power in powers_dbm]
    if not powers_mw:
        raise ValueError("there are no powers to add -- give at least one")
    return dbm(fsum(powers_mw))
