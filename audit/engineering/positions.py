"""Distance between two devices from their positions."""

from __future__ import annotations

from math import cos, hypot, radians, sin

from audit.engineering.domain import finite
from audit.model.base import Position

EQUATOR_M = 6_378_137.0
FLATTENING = 1 / 298.257223563
"""The WGS 84 ellipsoid: radius of its equator, and how much it is flattened at the poles."""
NEAR_DEGREES, PLANE_TO_DEGREES = 0.2, 70.0
"""How far apart positions may be, and how far from the equator, for plane geometry to suffice."""


def between_m(one: Position, other: Position) -> float:
    """Return the distance along the ground between two positions, in metres.

    If both are on the site's grid, it is the straight line there: that grid is surveyed, and its scale is
    taken to be 1. Otherwise both need latitude and longitude, and it is the geodesic. Heights are left
    out; for the paths in question they change the distance by less than one part in a thousand.

    Raises ValueError if the two positions have no coordinate system in common.
    """
    grids = _pair("x_m", one.x_m, "y_m", one.y_m), _pair("x_m", other.x_m, "y_m", other.y_m)
    if grids[0] and grids[1]:
        return grid_m(*grids[0], *grids[1])
    points = (
        _pair("latitude", one.latitude, "longitude", one.longitude),
        _pair("latitude", other.latitude, "longitude", other.longitude),
    )
    if points[0] and points[1]:
        return geodesic_m(*points[0], *points[1])
    raise ValueError(
        "the two positions have no coordinates in common -- give x_m and y_m for both, "
        "or latitude and longitude for both"
    )


def at(x: float, y: float, *, on_grid: bool) -> Position:
    """Return a point on the site's grid, in metres, or on the earth, latitude and longitude in degrees.

    Raises ValueError for numbers that are not a latitude and longitude.
    """
    if on_grid:
        return Position(x_m=x, y_m=y)
    if not (abs(x) <= 90 and abs(y) <= 180):
        raise ValueError(f"{x:g},{y:g} is not a latitude and longitude -- write it as 59.91,10.75")
    return Position(latitude=x, longitude=y)


def grid_m(x_m: float, y_m: float, other_x_m: float, other_y_m: float) -> float:
    """Return the distance between two points of the site's grid, in metres."""
    finite(x_m=x_m, y_m=y_m, other_x_m=other_x_m, other_y_m=other_y_m)
    return hypot(other_x_m - x_m, other_y_m - y_m)


def geodesic_m(latitude: float, longitude: float, other_latitude: float, other_longitude: float) -> float:
    """Return the shortest distance between two points along the WGS 84 ellipsoid, in metres.

    Latitudes and longitudes are in degrees, north and east positive; longitudes may exceed a full turn.

    Raises ValueError for latitudes beyond a pole.

    Source: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, as in GeographicLib.
    """
    finite(longitude=longitude, other_longitude=other_longitude)
    for name, degrees in (("latitude", latitude), ("other_latitude", other_latitude)):
        if not -90 <= degrees <= 90:
            raise ValueError(f"{name} is {degrees:g} -- latitudes go from -90 to 90 degrees")
    from geographiclib.geodesic import Geodesic

    line = Geodesic.WGS84.Inverse(
        latitude, longitude, other_latitude, other_longitude, outmask=Geodesic.DISTANCE
    )
    return float(line["s12"])


def near_m(one: Position, other: Position) -> float:
    """Return `between_m`, but faster if both positions are in latitude and longitude and near each other.

    Up to 0.2 degrees apart and 70 degrees from the equator it is calculated in the plane that touches the
    ellipsoid halfway between them, which is within 0.01 % of the geodesic, at a hundredth of its cost.

    Source: radii of curvature of the WGS 84 ellipsoid, common practice.
    """
    places = (one.latitude, one.longitude, other.latitude, other.longitude)
    on_grid = one.x_m is not None and other.x_m is not None
    if on_grid or None in places:
        return between_m(one, other)
    latitude, longitude, other_latitude, other_longitude = (float(place or 0.0) for place in places)
    north, east = other_latitude - latitude, other_longitude - longitude
    if max(abs(north), abs(east)) > NEAR_DEGREES or abs(latitude) > PLANE_TO_DEGREES:
        return between_m(one, other)
    middle = radians((latitude + other_latitude) / 2)
    squashed = 1 - FLATTENING * (2 - FLATTENING) * sin(middle) ** 2
    across_m = EQUATOR_M / squashed**0.5
    along_m = across_m * (1 - FLATTENING) ** 2 / squashed
    return hypot(radians(north) * along_m, radians(east) * across_m * cos(middle))


def _pair(
    name: str, first: float | None, other_name: str, second: float | None
) -> tuple[float, float] | None:
    """Return two coordinates, or None if there are none."""
    if first is None and second is None:
        return None
    if first is None or second is None:
        given, missing = (other_name, name) if first is None else (name, other_name)
        raise ValueError(f"a position has {given} and no {missing} -- give both")
    return first, second
