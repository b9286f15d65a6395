"""Link budget: radiated power, expected signal, sensitivity and the margin above it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from audit.engineering.domain import finite, not_negative

DIPOLE_DBI = 2.15
"""Gain of a half-wave dipole over an isotropic antenna: e.r.p. is this much below e.i.r.p.

1.64 times the power, as a telecommunications glossary has it.
"""


def eirp_dbm(power_dbm: float, antenna_dbi: float, feeder_db: float = 0.0) -> float:
    """Return the equivalent isotropically radiated power: transmitter + antenna gain − feeder loss.

    Raises ValueError for a feeder loss below 0: losses are positive numbers here.
    """
    finite(power_dbm=power_dbm, antenna_dbi=antenna_dbi)
    not_negative(feeder_db=feeder_db)
    return power_dbm + antenna_dbi - feeder_db


def erp_dbm(eirp: float) -> float:
    """Return the effective radiated power, over a half-wave dipole, of an e.i.r.p. in dBm."""
    finite(eirp=eirp)
    return eirp - DIPOLE_DBI


def expected_rssi_dbm(
    eirp: float, path_db: float, antenna_dbi: float = 0.0, feeder_db: float = 0.0, other_db: float = 0.0
) -> float:
    """Return the signal expected at the receiver: e.i.r.p. − path loss + antenna gain − losses.

    `antenna_dbi` and `feeder_db` are the receiver's. `other_db` is any other loss on the way, for
    instance over an obstacle (`clearance.Clearance.loss_db`).
    """
    finite(eirp=eirp, path_db=path_db, antenna_dbi=antenna_dbi)
    not_negative(feeder_db=feeder_db, other_db=other_db)
    return eirp - path_db - other_db + antenna_dbi - feeder_db


def missing_db(expected_dbm: float, measured_dbm: float) -> float:
    """Return how far a measured signal is below the expected one, in dB; negative if above it."""
    finite(expected_dbm=expected_dbm, measured_dbm=measured_dbm)
    return expected_dbm - measured_dbm


def fade_margin_db(rssi_dbm: float, sensitivity: float) -> float:
    """Return how far a signal is above the sensitivity, in dB; if negative, there is no link."""
    finite(rssi_dbm=rssi_dbm, sensitivity=sensitivity)
    return rssi_dbm - sensitivity


def sensitivity_dbm(by_air_rate: Mapping[str, float], air_rate: str) -> float:
    """Return the sensitivity at an air rate from a device type's table (its `sensitivity_dbm`).

    Rates are compared as numbers if both are numbers: `50` is `50.0`.

    Raises ValueError for a rate that the table does not have; nothing is interpolated between two rates.
    """
    wanted = _number(air_rate)
    for rate, level_dbm in by_air_rate.items():
        if rate == air_rate or (wanted is not None and _number(rate) == wanted):
            return level_dbm
    known = ", ".join(by_air_rate) or "none"
    raise ValueError(f"no sensitivity is known at the air rate {air_rate!r} -- the table has: {known}")


def _number(text: str) -> Decimal | None:
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    return number if number.is_finite() else None
