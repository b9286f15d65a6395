"""Fresnel zones, the earth's bulge and knife edges against published values.

Sources:

- P.526: Rec. ITU-R P.526-8 (2003), Annex 1, section 1 (equivalent earth radius 8500 km) and section 2,
  equations 2 and 3 (radius with the constant 550, in km and MHz); read in a stored copy. Section 'Single
  knife-edge obstacle', J(ν); secondary: reference programs of an administration.
- P.530: Rec. ITU-R P.530-16, constant 17.3 with km and GHz. Secondary: source of the Python library itur
  0.4.0, whose result for 915 MHz and 2 × 0.5 km, 9.042854861365178 m, was calculated with it.
- CALCULATOR: a web calculator citing P.530: 5 GHz, 1 km (read in an excerpt).
- FAQ: a course's question, 20 km and 30 km at 3 GHz (read).
- ARMY: US Army correspondence course SS0121A, exercise on first Fresnel zone clearance: 16 km and 24 km at
  4 GHz, 'about 27 meters' with the constant 17.5 (read).
- TABLE: a student rocketry group's page 'Link Budget' (read).
- BULGE: FOSSEE's companion to a textbook on antennas and propagation, example 3.3: h = 500 d₁ d₂ ÷ (k R),
  km and m, R = 6370 km; and a web calculator, d₁ d₂ ÷ (12.74 k). Formulas read, results not given there.
- EDGE: T. S. Rappaport, Wireless Communications, example on knife-edge diffraction. From memory, not
  verified.
- RUN: √(λ d₁ d₂ ÷ d), c = 299 792 458 m/s, calculated independently of the code. With the constant 17.3 these
  would be 9.0429 m and 1.7657 m, so four decimals tell the two apart.
- scipy.special.fresnel, the Fresnel integrals, for what J(ν) approximates.
"""

from __future__ import annotations

from math import log10, sqrt
from pathlib import Path

import pytest
from scipy.special import fresnel

from audit.engineering.clearance import Obstacle, clearances, earth_bulge_m, fresnel_radius_m, knife_edge_db
from tests.site_builder import audit_of

PATHS = [(0.5, 0.5, 915), (0.05, 0.05, 2400), (5, 5, 2400), (0.2, 3.8, 433.92), (12, 1, 868.3)]
"""Two distances in km, MHz."""


@pytest.mark.parametrize(("ahead_km", "behind_km", "frequency_mhz"), PATHS)
def test_the_practical_form_of_p526(ahead_km: float, behind_km: float, frequency_mhz: float) -> None:
    """P.526: its constant 550 is rounded up from 547.5."""
    published_m = 550 * sqrt(ahead_km * behind_km / ((ahead_km + behind_km) * frequency_mhz))
    radius_m = fresnel_radius_m(ahead_km * 1000, behind_km * 1000, frequency_mhz)
    assert radius_m == pytest.approx(published_m, rel=0.005)


@pytest.mark.parametrize(("ahead_km", "behind_km", "frequency_mhz"), PATHS)
def test_the_practical_form_of_p530(ahead_km: float, behind_km: float, frequency_mhz: float) -> None:
    """P.530: its constant 17.3 is rounded down from 17.314."""
    published_m = 17.3 * sqrt(ahead_km * behind_km / ((ahead_km + behind_km) * frequency_mhz / 1000))
    radius_m = fresnel_radius_m(ahead_km * 1000, behind_km * 1000, frequency_mhz)
    assert radius_m == pytest.approx(published_m, rel=0.001)


@pytest.mark.parametrize(
    ("ahead_km", "behind_km", "frequency_mhz", "published_m", "within_m"),
    [
        pytest.param(0.5, 0.5, 5000, 3.87, 0.005, id="CALCULATOR"),
        pytest.param(20, 30, 3000, 34.64, 0.02, id="FAQ"),
        pytest.param(16, 24, 4000, 27, 0.5, id="ARMY"),
        pytest.param(0.5, 0.5, 915, 9.042854861365178, 0.01, id="itur"),
        pytest.param(0.5, 0.5, 915, 9.0504, 5e-5, id="RUN 915 MHz 1 km"),
        pytest.param(0.05, 0.05, 2400, 1.7672, 5e-5, id="RUN 2.4 GHz 100 m"),
        pytest.param(0.5, 0.5, 434, 13.1, 0.051, id="TABLE 434 MHz 1 km"),
        pytest.param(0.5, 0.5, 869, 9.3, 0.051, id="TABLE 869 MHz 1 km"),
        pytest.param(10, 10, 434, 58.8, 0.051, id="TABLE 434 MHz 20 km"),
        pytest.param(30, 30, 869, 71.9, 0.051, id="TABLE 869 MHz 60 km"),
    ],
)
def test_radii(
    ahead_km: float, behind_km: float, frequency_mhz: float, published_m: float, within_m: float
) -> None:
    """Radii are as published, within the rounding of the results and of their constants."""
    radius_m = fresnel_radius_m(ahead_km * 1000, behind_km * 1000, frequency_mhz)
    assert radius_m == pytest.approx(published_m, abs=within_m)


@pytest.mark.parametrize(("ahead_km", "behind_km"), [(5, 15), (20, 20), (0.5, 0.5)])
def test_bulge(ahead_km: float, behind_km: float) -> None:
    """P.526 and BULGE: with the standard atmosphere's radius, and in two practical forms."""
    bulge_m = earth_bulge_m(ahead_km * 1000, behind_km * 1000)
    assert bulge_m == pytest.approx(ahead_km * behind_km / (2 * 8500) * 1000, rel=0.001)
    assert bulge_m == pytest.approx(500 * ahead_km * behind_km / (1.3333 * 6370), rel=0.001)
    assert bulge_m == pytest.approx(ahead_km * behind_km / (12.74 * 4 / 3), rel=0.001)


def exact_edge_db(nu: float) -> float:
    """Return the loss of a knife edge by the Fresnel integrals, in dB."""
    sine, cosine = fresnel(nu)
    return -20 * log10(sqrt((1 - cosine - sine) ** 2 + (cosine - sine) ** 2) / 2)


@pytest.mark.parametrize("nu", [-0.7, -0.5, -0.2, 0.0, 0.3, 0.7, 1.0, 1.5, 2.0, 2.4, 3.0, 5.0, 10.0])
def test_the_edge_against_the_fresnel_integrals(nu: float) -> None:
    """P.526's approximation is within 0.15 dB of what it approximates."""
    assert knife_edge_db(nu) == pytest.approx(exact_edge_db(nu), abs=0.15)


@pytest.mark.parametrize(("top_m", "published_db"), [(25, 22), (0, 6)])
def test_an_edge_of_the_textbook(top_m: float, published_db: float) -> None:
    """EDGE: 25 m above the line of sight, or at it, 1 km from both antennas, wavelength ⅓ m.

    The line of sight is at 0 m, and the earth is taken as flat, since the book leaves its bulge out.
    """
    (found,) = clearances(2000, 900, 0, 0, [Obstacle(1000, top_m)], k=1e9)
    assert found.loss_db == pytest.approx(published_db, abs=0.5)


@pytest.mark.parametrize(("top_m", "published_db"), [(25, 22), (0, 6)])
def test_an_edge_of_the_textbook_in_a_plan(top_m: float, published_db: int, tmp_path: Path) -> None:
    """EDGE: the same path planned on a site, with its obstacle lowered by the earth's bulge of 0.06 m."""
    edge = {"what": "edge", "from_node_m": 1000, "top_m": top_m - 0.0589}
    node = {"tag": "A", "position": {"x_m": 2000, "y_m": 0, "height_m": 0}, "obstacles": [edge]}
    gateway = {"frequency": 900, "position": {"x_m": 0, "y_m": 0, "height_m": 0}}
    networks = {"North": {"gateway": gateway, "nodes": [node]}}

    (finding,) = audit_of(tmp_path, rules="path-obstructed", networks=networks, planned=[])

    assert f"{abs(top_m):.1f} m {'above' if top_m else 'below'} the line of sight" in finding.message
    assert f"as a knife edge it costs {published_db} dB" in finding.message
