"""Availability and fade margin against a statistics library and published rules.

Sources:

- scipy.stats: the exponential distribution (power of a Rayleigh fading signal) and the normal one.
- RULE: 10 dB of margin for each decade of availability, common practice; no handbook is known here.
- RUN: calculated independently of the code.
- COVERAGE: T. S. Rappaport, Wireless Communications, example on measured path loss: −57.24 dBm expected at
  2 km, standard deviation 6.17 dB, so that 67.4 % of places are above −60 dBm. From memory, not verified.
"""

from __future__ import annotations

from math import log

import pytest
from scipy.stats import expon, norm

from audit.engineering.availability import (
    log_normal_availability,
    log_normal_margin_db,
    rayleigh_availability,
    rayleigh_margin_db,
    rayleigh_outage,
)
from audit.engineering.decibels import decibels, ratio
from audit.engineering.path_loss import log_distance_db


@pytest.mark.parametrize("margin_db", [-10, -3, 0, 1, 5, 10, 20, 40, 60])
def test_rayleigh_against_the_exponential_distribution(margin_db: float) -> None:
    """scipy.stats: the mean power is 1, and the threshold lies below it by the margin."""
    threshold = 1 / ratio(margin_db)
    assert rayleigh_availability(margin_db) == pytest.approx(expon.sf(threshold), rel=1e-12)
    assert rayleigh_outage(margin_db) == pytest.approx(expon.cdf(threshold), rel=1e-12)


@pytest.mark.parametrize("availability", [0.01, 0.5, 0.9, 0.99, 0.9999, 0.9999999])
def test_rayleigh_margin_against_the_exponential_distribution(availability: float) -> None:
    """scipy.stats: the margin is the inverse of the distribution."""
    assert rayleigh_margin_db(availability) == pytest.approx(-decibels(expon.isf(availability)), abs=1e-8)


@pytest.mark.parametrize("sigma_db", [4, 6, 8, 12])
@pytest.mark.parametrize("margin_db", [-20, -5, 0, 3, 10, 25, 60])
def test_log_normal_against_the_normal_distribution(margin_db: float, sigma_db: float) -> None:
    """scipy.stats: margin to availability, and back."""
    availability = log_normal_availability(margin_db, sigma_db)
    assert availability == pytest.approx(norm.cdf(margin_db / sigma_db), rel=1e-12)
    if 1e-9 < availability < 1 - 1e-9:
        expected_db = sigma_db * norm.ppf(availability)
        assert log_normal_margin_db(availability, sigma_db) == pytest.approx(expected_db, abs=1e-6)


@pytest.mark.parametrize(
    ("margin_db", "outage"),
    [
        (3, 0.39419),
        (5, 0.27111),
        (10, 0.095163),
        (15, 0.031128),
        (20, 0.0099502),
        (30, 0.0009995),
        (40, 0.000099995),
    ],
)
def test_a_table_of_rayleigh_outage(margin_db: float, outage: float) -> None:
    """RUN: to five digits."""
    assert rayleigh_outage(margin_db) == pytest.approx(outage, rel=2e-5)


@pytest.mark.parametrize(
    ("availability", "margin_db"),
    [(0.9, 9.773), (0.95, 12.899), (0.99, 19.978), (0.999, 29.998), (0.9999, 40.000)],
)
def test_a_table_of_rayleigh_margins(availability: float, margin_db: float) -> None:
    """RUN: to three decimals."""
    assert rayleigh_margin_db(availability) == pytest.approx(margin_db, abs=5e-4)


@pytest.mark.parametrize(
    ("sigma_db", "at_90_db", "at_95_db", "at_99_db"),
    [(8, 10.252, 13.159, 18.611), (6, 7.689, 9.869, 13.958), (4, 5.126, 6.579, 9.305)],
)
def test_a_table_of_shadowing_margins(
    sigma_db: float, at_90_db: float, at_95_db: float, at_99_db: float
) -> None:
    """RUN: to three decimals."""
    margins = [log_normal_margin_db(availability, sigma_db) for availability in (0.9, 0.95, 0.99)]
    assert margins == pytest.approx([at_90_db, at_95_db, at_99_db], abs=6e-4)


def test_shadowing_of_8_db_against_a_margin_of_10() -> None:
    """RUN: the availability is .894350."""
    assert log_normal_availability(10, 8) == pytest.approx(0.894350, abs=5e-7)


@pytest.mark.parametrize("nines", [1, 2, 3, 4, 5])
def test_ten_db_a_nine(nines: int) -> None:
    """RULE: each further nine takes 10 dB, within a quarter of a decibel."""
    assert rayleigh_margin_db(1 - 10**-nines) == pytest.approx(10 * nines, abs=0.25)


def test_the_median_is_1_59_db_below_the_mean() -> None:
    """RUN: half of the time the signal is below its median, 10 log (ln 2) from the mean."""
    assert rayleigh_margin_db(0.5) == pytest.approx(-decibels(log(2)))
    assert rayleigh_margin_db(0.5) == pytest.approx(1.592, abs=5e-4)


def test_coverage_of_the_textbook() -> None:
    """COVERAGE: from 0 dBm at 100 m with exponent 4.4, the published share of places follows."""
    expected_dbm = -log_distance_db(2000, exponent=4.4, reference_m=100, reference_db=0)
    assert expected_dbm == pytest.approx(-57.24, abs=0.01)
    assert log_normal_availability(expected_dbm + 60, 6.17) == pytest.approx(0.674, abs=0.002)
