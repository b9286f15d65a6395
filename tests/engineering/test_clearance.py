"""Clearance of a path: Fresnel zones, the earth's bulge, obstacles."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given

from audit.engineering.clearance import (
    Clearance,
    Obstacle,
    clearances,
    earth_bulge_m,
    fresnel_radius_m,
    knife_edge_db,
)
from tests.engineering.numbers import DISTANCES_M, FREQUENCIES_MHZ, NOT_POSITIVE, between


@given(ahead_m=DISTANCES_M, behind_m=DISTANCES_M, frequency_mhz=FREQUENCIES_MHZ)
def test_zones_are_the_same_from_both_ends(ahead_m: float, behind_m: float, frequency_mhz: float) -> None:
    """And the nth is √n times as wide as the first; at four times the frequency half as wide."""
    first_m = fresnel_radius_m(ahead_m, behind_m, frequency_mhz)
    assert fresnel_radius_m(behind_m, ahead_m, frequency_mhz) == pytest.approx(first_m)
    assert fresnel_radius_m(ahead_m, behind_m, frequency_mhz, zone=9) == pytest.approx(3 * first_m)
    assert fresnel_radius_m(ahead_m, behind_m, 4 * frequency_mhz) == pytest.approx(first_m / 2)


@given(path_m=DISTANCES_M, frequency_mhz=FREQUENCIES_MHZ, share=between(0.001, 0.999))
def test_zones_and_bulge_are_greatest_midway(path_m: float, frequency_mhz: float, share: float) -> None:
    """Nowhere on a path are they greater than in its middle."""
    ahead_m, behind_m, half_m = share * path_m, (1 - share) * path_m, path_m / 2
    most_m = fresnel_radius_m(half_m, half_m, frequency_mhz)
    assert fresnel_radius_m(ahead_m, behind_m, frequency_mhz) <= most_m * (1 + 1e-12)
    assert earth_bulge_m(ahead_m, behind_m) <= earth_bulge_m(half_m, half_m) * (1 + 1e-12)


@given(ahead_m=between(100, 1e5), behind_m=between(100, 1e5), frequency_mhz=FREQUENCIES_MHZ)
def test_a_ray_by_the_edge_is_half_a_wave_longer(
    ahead_m: float, behind_m: float, frequency_mhz: float
) -> None:
    """What a Fresnel zone is: the way by its edge is half a wavelength longer, to first order."""
    radius_m = fresnel_radius_m(ahead_m, behind_m, frequency_mhz)
    detour_m = radius_m**2 / (sqrt(ahead_m**2 + radius_m**2) + ahead_m)
    detour_m += radius_m**2 / (sqrt(behind_m**2 + radius_m**2) + behind_m)
    assert detour_m == pytest.approx(299.792458 / frequency_mhz / 2, rel=0.01)


@given(ahead_m=DISTANCES_M, behind_m=DISTANCES_M, k=between(0.5, 3))
def test_the_bulge_is_that_of_a_circle(ahead_m: float, behind_m: float, k: float) -> None:
    """By the theorem of intersecting chords: bulge × (2 k R − bulge) = d₁ × d₂, nearly."""
    bulge_m = earth_bulge_m(ahead_m, behind_m, k)
    assert bulge_m * (2 * k * 6_371_000 - bulge_m) == pytest.approx(ahead_m * behind_m, rel=1e-3)


def clearance_over(top_m: float, antenna_m: float = 10, other_antenna_m: float = 10) -> Clearance:
    """Return the clearance midway on 1 km at 915 MHz."""
    (found,) = clearances(1000, 915, antenna_m, other_antenna_m, [Obstacle(500, top_m)])
    return found


def test_clearance_over_flat_ground() -> None:
    """10 m up, less 15 mm of bulge, of a zone of 9.05 m."""
    found = clearance_over(0)
    assert found.clearance_m == pytest.approx(10 - 0.0147, abs=1e-4)
    assert found.share == pytest.approx(1.103, abs=1e-3)
    assert (found.lacking_m, found.loss_db) == (0, 0)


def test_an_obstacle_at_the_line_of_sight() -> None:
    """Grazing costs about 6 dB, and 0.6 of the zone is lacking."""
    found = clearance_over(10 - 0.0147)
    assert found.loss_db == pytest.approx(6.0, abs=0.05)
    assert found.lacking_m == pytest.approx(0.6 * 9.05, abs=0.01)


def test_the_line_of_sight_may_slope() -> None:
    """Midway between 10 m and 30 m it is at 20 m."""
    assert clearance_over(0, 10, 30).clearance_m == pytest.approx(20, abs=0.02)


@given(lift_m=between(0, 50), top_m=between(0, 40))
def test_raising_both_antennas_raises_the_clearance(lift_m: float, top_m: float) -> None:
    """Metre by metre; the loss never grows."""
    low, high = clearance_over(top_m), clearance_over(top_m, 10 + lift_m, 10 + lift_m)
    assert high.clearance_m == pytest.approx(low.clearance_m + lift_m)
    assert high.loss_db <= low.loss_db
    assert high.lacking_m <= low.lacking_m


def test_the_tightest_comes_first() -> None:
    """In shares of the zone there, not in metres."""
    wide, narrow = Obstacle(5000, 3), Obstacle(9990, 8)
    found = clearances(10_000, 915, 12, 12, [narrow, wide])
    assert [one.obstacle for one in found] == [wide, narrow]


def test_a_clear_path_has_no_obstacles() -> None:
    """Nothing in the way is an empty list."""
    assert clearances(1000, 915, 10, 10, []) == []


@pytest.mark.parametrize("distance_m", [0, -5, 1000, 1200, float("nan")])
def test_obstacles_stand_between_the_antennas(distance_m: float) -> None:
    """Not behind either, nor at one."""
    with pytest.raises(ValueError, match="an obstacle is"):
        clearances(1000, 915, 10, 10, [Obstacle(distance_m, 5)])


@given(nu=between(-10, 1e6), more=between(0, 10))
def test_the_edge_costs_more_the_higher_it_is(nu: float, more: float) -> None:
    """Never less than nothing, and never falling."""
    assert 0 <= knife_edge_db(nu) <= knife_edge_db(nu + more) + 1e-9


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_nothing_of_no_length(wrong: float) -> None:
    """Distances, paths and k are above 0."""
    with pytest.raises(ValueError, match="distance_m"):
        fresnel_radius_m(wrong, 10, 915)
    with pytest.raises(ValueError, match="k is"):
        earth_bulge_m(10, 10, wrong)
    with pytest.raises(ValueError, match="path_m"):
        clearances(wrong, 915, 10, 10, [])


def test_zones_are_counted_from_one() -> None:
    """There is no zone 0."""
    with pytest.raises(ValueError, match="zone is 0"):
        fresnel_radius_m(10, 10, 915, zone=0)
