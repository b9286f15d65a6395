"""Path losses against published values.

Sources:

- P.525: Rec. ITU-R P.525, free-space basic transmission loss 32.4 + 20 log f (MHz) + 20 log d (km).
  Secondary: articles that quote it; the equation's number was not read.
- SDR: documentation of the Python library `sdr`, free_space_path_loss (read in an excerpt).
- TOOLBOX: documentation of a numerical-computing toolbox, fspl: 10 GHz over 10 km (read in an excerpt).
- TABLE: a student rocketry group's page 'Link Budget', a table of losses and Fresnel radii (read).
- FREE, TWO RAYS: worked problems of T. S. Rappaport, Wireless Communications, chapter 'Large-Scale Path
  Loss'. Secondary: solutions of a university course, read; the book was not.
- GARG: V. Garg, Wireless Communications and Networking, 2007, examples 3.1 and 3.3. Secondary: the
  'Textbook Companions' of FOSSEE, which give the examples with their results; read.
- CROSSOVER: a web reference on the plane-earth model, 'around 1.5 km' (read in an excerpt).
- RUN: calculated in double precision, independently of the code, 20 log (4 π d f ÷ c), c = 299 792 458 m/s.
"""

from __future__ import annotations

from cmath import pi
from math import log10

import pytest

from audit.engineering.decibels import dbm
from audit.engineering.link_budget import expected_rssi_dbm
from audit.engineering.path_loss import (
    crossover_m,
    free_space_db,
    log_distance_db,
    plane_earth_db,
    two_ray_db,
    wavelength_m,
)

FOOT_M = 0.3048


@pytest.mark.parametrize("frequency_mhz", [169.4, 433.92, 868.3, 915, 2450, 5800])
@pytest.mark.parametrize("distance_km", [0.05, 1, 12, 60])
def test_the_engineering_form_of_p525(frequency_mhz: float, distance_km: float) -> None:
    """P.525: its constant is rounded from 32.4478, so that it is 0.048 dB lower."""
    p525_db = 32.4 + 20 * log10(frequency_mhz) + 20 * log10(distance_km)
    assert free_space_db(distance_km * 1000, frequency_mhz) - p525_db == pytest.approx(0.0478, abs=1e-4)


@pytest.mark.parametrize(
    ("distance_m", "frequency_mhz", "published_db"),
    [(1000, 1000, 92.44778322188337), (2000, 1000, 98.468383135163)],
)
def test_free_space_of_a_library(distance_m: float, frequency_mhz: float, published_db: float) -> None:
    """SDR: to all digits."""
    assert free_space_db(distance_m, frequency_mhz) == pytest.approx(published_db, abs=1e-9)


def test_free_space_of_a_toolbox() -> None:
    """TOOLBOX: to four decimals."""
    assert free_space_db(10_000, 10_000) == pytest.approx(132.4478, abs=5e-5)


@pytest.mark.parametrize(
    ("distance_m", "frequency_mhz", "loss_db"),
    [
        (1000, 915, 91.6762), (100, 915, 71.6762), (100, 2400, 80.0520), (1000, 868.3, 91.2212),
        (1000, 2450, 100.2311), (1000, 433.92, 85.1960),
    ],
)  # fmt: skip
def test_free_space_of_the_usual_bands(distance_m: float, frequency_mhz: float, loss_db: float) -> None:
    """RUN: losses in the usual bands agree with those calculated independently."""
    assert free_space_db(distance_m, frequency_mhz) == pytest.approx(loss_db, abs=5e-5)


@pytest.mark.parametrize(
    ("distance_km", "at_434_db", "at_869_db"),
    [
        (1, 85.2, 91.2), (10, 105.2, 111.2), (20, 111.2, 117.2), (30, 114.7, 120.8), (40, 117.2, 123.3),
        (50, 119.2, 125.2), (60, 120.8, 126.8),
    ],
)  # fmt: skip
def test_a_table_of_free_space(distance_km: float, at_434_db: float, at_869_db: float) -> None:
    """TABLE: to one decimal."""
    assert free_space_db(distance_km * 1000, 434) == pytest.approx(at_434_db, abs=0.051)
    assert free_space_db(distance_km * 1000, 869) == pytest.approx(at_869_db, abs=0.051)


@pytest.mark.parametrize(("distance_m", "published_dbm"), [(100, -24.5), (10_000, -64.5)])
def test_received_power_in_free_space(distance_m: float, published_dbm: float) -> None:
    """FREE: 50 W at 900 MHz between antennas of unity gain."""
    assert dbm(50_000) == pytest.approx(47.0, abs=0.05)
    rssi_dbm = expected_rssi_dbm(dbm(50_000), free_space_db(distance_m, 900))
    assert rssi_dbm == pytest.approx(published_dbm, abs=0.05)


def test_received_power_over_the_ground() -> None:
    """TWO RAYS: 1 mV/m at 1 km, 900 MHz, antennas at 50 m and 1.5 m, 2.55 dBi, over 5 km: −92.68 dBm."""
    eirp_mw = (1e-3 * 1000) ** 2 / 30 * 1000
    path_db = two_ray_db(5000, 900, 50, 1.5)
    assert expected_rssi_dbm(dbm(eirp_mw), path_db, antenna_dbi=2.55) == pytest.approx(-92.68, abs=0.01)


def test_free_space_and_reflecting_surface() -> None:
    """GARG 3.1: 5000 ft, 881.52 MHz, antennas at 100 ft and 5 ft, 8 dB of antenna gain: 87 and 86 dB."""
    assert free_space_db(5000 * FOOT_M, 881.52) - 8 == pytest.approx(87, abs=0.5)
    assert plane_earth_db(5000 * FOOT_M, 100 * FOOT_M, 5 * FOOT_M) - 8 == pytest.approx(86, abs=0.5)


def test_log_distance_with_shadowing() -> None:
    """GARG 3.3: −32 dBm at 100 m, exponent 4, 10.5 dB of favourable shadowing: −80.6 dBm at 3 km."""
    loss_db = log_distance_db(3000, exponent=4, reference_m=100, reference_db=32, shadowing_db=-10.5)
    assert -loss_db == pytest.approx(-80.6, abs=0.05)


@pytest.mark.parametrize(
    ("heights", "frequency_mhz", "metres", "within_m"),
    [((30, 1.5), 800, 1500, 15), ((2, 6), 915, 460.2, 0.1), ((1.5, 3), 2400, 452.7, 0.1)],
)
def test_crossover(
    heights: tuple[float, float], frequency_mhz: float, metres: float, within_m: float
) -> None:
    """CROSSOVER for the first, RUN for the others."""
    assert crossover_m(frequency_mhz, *heights) == pytest.approx(metres, abs=within_m)


def test_both_models_meet_at_the_crossover() -> None:
    """RUN: antennas at 2 m and 6 m, 915 MHz: 84.93604 dB by either model."""
    distance_m = crossover_m(915, 2, 6)

    assert plane_earth_db(distance_m, 2, 6) == pytest.approx(84.93604, abs=5e-6)
    assert free_space_db(distance_m, 915) == pytest.approx(84.93604, abs=5e-6)


def test_the_crossover_is_not_the_other_breakpoint() -> None:
    """RUN: 4 h₁ h₂ ÷ λ, which other literature calls the breakpoint (from memory), is 146.5 m for 460.2 m."""
    breakpoint_m = 4 * 2 * 6 / wavelength_m(915)

    assert breakpoint_m == pytest.approx(146.5, abs=0.05)
    assert crossover_m(915, 2, 6) == pytest.approx(pi * breakpoint_m)


@pytest.mark.parametrize(("distance_m", "loss_db"), [(1000, 98.4164), (2000, 110.4576)])
def test_plane_earth(distance_m: float, loss_db: float) -> None:
    """RUN: antennas at 2 m and 6 m."""
    assert plane_earth_db(distance_m, 2, 6) == pytest.approx(loss_db, abs=5e-5)
