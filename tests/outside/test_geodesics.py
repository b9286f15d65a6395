"""Distances on the earth against published geodesics.

Sources:

- C. F. F. Karney's test set for WGS 84, as included in the tests of GeographicLib's C library (geodtest.c,
  2015-2016; read in a stored copy). GeographicLib also does the calculation here, so that these cases check
  the order and units of its arguments; the test set itself was made with more digits than it has.
- Flinders Peak to Buninyong, 54 972.271 m: worked example of Vincenty's formulae by Geoscience Australia, on
  GRS 80, which differs from WGS 84 by 0.1 mm in the semi-minor axis. Secondary: tests of several programs
  that quote it.
"""

from __future__ import annotations

import pytest

from audit.engineering.positions import between_m, geodesic_m
from audit.model.base import Position

CASES = [
    (35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305),
    (55.52454, 106.05087, 77.03196, 197.18234, 4105086.1713924406),
    (-21.97856, 142.59065, 41.84138, 98.56635, 8394328.894657671),
    (-66.99028, 112.2363, -12.70631, 285.90344, 11150344.2312080241),
    (-17.42761, 173.34268, -15.84784, 5.93557, 16076603.1631180673),
    (32.84994, 48.28919, -56.28556, 202.29132, 16727068.9438164461),
    (6.96833, 52.74123, -7.39675, 206.17291, 17102477.2496958388),
    (-50.56724, -16.30485, -33.56571, -94.97412, 6455670.5118668696),
    (-58.93002, -8.90775, -8.91104, 133.13503, 11756066.0219864627),
]
"""Latitude and longitude of one point and of the other, in degrees; the distance in metres."""


@pytest.mark.parametrize("case", CASES)
def test_geodesics(case: tuple[float, float, float, float, float]) -> None:
    """Distances over thousands of kilometres agree to a tenth of a micrometre."""
    *points, metres = case
    assert geodesic_m(*points) == pytest.approx(metres, abs=1e-7)


def degrees(whole: int, minutes: int, seconds: float) -> float:
    """Return an angle in degrees."""
    return whole + minutes / 60 + seconds / 3600


def test_flinders_peak_to_buninyong() -> None:
    """The distance of 55 km agrees to a millimetre."""
    flinders = Position(latitude=-degrees(37, 57, 3.72030), longitude=degrees(144, 25, 29.52440))
    buninyong = Position(latitude=-degrees(37, 39, 10.15610), longitude=degrees(143, 55, 35.38390))
    assert between_m(flinders, buninyong) == pytest.approx(54_972.271, abs=0.001)
