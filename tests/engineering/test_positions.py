"""Distances between positions."""

from __future__ import annotations

import pytest
from hypothesis import given

from audit.engineering.positions import NEAR_DEGREES, PLANE_TO_DEGREES, between_m, geodesic_m, grid_m, near_m
from audit.model.base import Position
from tests.engineering.numbers import between

LATITUDES, LONGITUDES = between(-90, 90), between(-180, 180)


def test_on_the_grid() -> None:
    """The site's grid is flat."""
    one, other = Position(x_m=100.0, y_m=200.0), Position(x_m=400.0, y_m=600.0)
    assert between_m(one, other) == 500


def test_on_the_earth() -> None:
    """A thousandth of a degree of latitude is about 111 m."""
    one, other = Position(latitude=51.0, longitude=7.0), Position(latitude=51.001, longitude=7.0)
    assert between_m(one, other) == pytest.approx(111.25, abs=0.05)


def test_the_grid_comes_first() -> None:
    """Where both have both, the surveyed grid counts."""
    one = Position(x_m=0.0, y_m=0.0, latitude=51.0, longitude=7.0)
    other = Position(x_m=3.0, y_m=4.0, latitude=52.0, longitude=7.0)
    assert between_m(one, other) == 5


def test_the_earth_where_only_one_is_on_the_grid() -> None:
    """What both have counts."""
    one = Position(x_m=0.0, y_m=0.0, latitude=51.0, longitude=7.0)
    assert between_m(one, Position(latitude=51.0, longitude=7.0)) == 0


@pytest.mark.parametrize(
    ("one", "other", "says"),
    [
        (Position(), Position(), "no coordinates in common"),
        (Position(x_m=1.0, y_m=1.0), Position(latitude=1.0, longitude=1.0), "no coordinates in common"),
        (Position(x_m=1.0), Position(x_m=1.0, y_m=1.0), "has x_m and no y_m"),
        (Position(x_m=1.0, y_m=1.0), Position(y_m=1.0), "has y_m and no x_m"),
        (Position(longitude=1.0), Position(latitude=1.0, longitude=1.0), "has longitude and no latitude"),
    ],
)
def test_incomplete_positions(one: Position, other: Position, says: str) -> None:
    """What is missing is said."""
    with pytest.raises(ValueError, match=says):
        between_m(one, other)


@pytest.mark.parametrize("latitude", [90.1, -91, float("nan"), float("inf")])
def test_beyond_a_pole(latitude: float) -> None:
    """Latitude and longitude exchanged often shows as a latitude beyond 90."""
    with pytest.raises(ValueError, match="latitudes go from -90 to 90"):
        geodesic_m(latitude, 0, 0, 0)
    with pytest.raises(ValueError, match="other_latitude"):
        geodesic_m(0, 0, latitude, 0)


@given(a=LATITUDES, b=LONGITUDES, c=LATITUDES, d=LONGITUDES)
def test_geodesics_go_both_ways(a: float, b: float, c: float, d: float) -> None:
    """There is as far as back, nowhere is farther than half round the earth, and a full turn is none."""
    there = geodesic_m(a, b, c, d)
    assert there == pytest.approx(geodesic_m(c, d, a, b), abs=1e-6)
    assert there == pytest.approx(geodesic_m(a, b + 360, c, d), abs=1e-6)
    assert 0 <= there < 20_003_932


@given(x=between(-1e5, 1e5), y=between(-1e5, 1e5), k=between(0.001, 1000))
def test_the_grid_scales(x: float, y: float, k: float) -> None:
    """Twice the coordinates are twice the distance."""
    assert grid_m(0, 0, k * x, k * y) == pytest.approx(k * grid_m(0, 0, x, y), rel=1e-9)


@given(latitude=between(-80, 80), longitude=LONGITUDES, north_m=between(-500, 500), east_m=between(-500, 500))
def test_small_distances_agree_with_a_plane(
    latitude: float, longitude: float, north_m: float, east_m: float
) -> None:
    """Within a site the geodesic is the distance on a plane, scaled by the ellipsoid's radii of curvature."""
    from math import cos, radians, sin, sqrt

    flattening = 1 / 298.257223563
    e2 = flattening * (2 - flattening)
    w = sqrt(1 - e2 * sin(radians(latitude)) ** 2)
    meridian_m, prime_m = 6378137 * (1 - e2) / w**3, 6378137 / w
    other_latitude = latitude + north_m / meridian_m / radians(1)
    other_longitude = longitude + east_m / (prime_m * cos(radians(latitude))) / radians(1)
    plane_m = grid_m(0, 0, east_m, north_m)
    assert geodesic_m(latitude, longitude, other_latitude, other_longitude) == pytest.approx(
        plane_m, rel=1e-3, abs=1e-6
    )


@given(
    latitude=between(-PLANE_TO_DEGREES, PLANE_TO_DEGREES),
    longitude=LONGITUDES,
    north=between(-NEAR_DEGREES, NEAR_DEGREES),
    east=between(-NEAR_DEGREES, NEAR_DEGREES),
)
def test_near_by_the_plane_will_do(latitude: float, longitude: float, north: float, east: float) -> None:
    """Near each other the quick distance is within 0.01 % of the geodesic, also across the date line."""
    one = Position(latitude=latitude, longitude=longitude)
    other = Position(latitude=latitude + north, longitude=max(-180.0, min(180.0, longitude + east)))

    assert near_m(one, other) == pytest.approx(between_m(one, other), rel=1e-4, abs=0.01)


def test_far_apart_and_on_the_grid_the_quick_distance_is_the_exact_one() -> None:
    """Beyond its domain, and where the site has a grid, nothing is approximated."""
    far = Position(latitude=51.0, longitude=7.0), Position(latitude=52.0, longitude=8.0)
    north = Position(latitude=80.0, longitude=7.0), Position(latitude=80.1, longitude=7.1)
    grid = Position(x_m=0.0, y_m=0.0), Position(x_m=3.0, y_m=4.0)

    assert [near_m(*pair) for pair in (far, north, grid)] == [between_m(*pair) for pair in (far, north, grid)]
