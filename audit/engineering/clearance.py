"""Clearance of a path over the earth's bulge and obstacles, in shares of the first Fresnel zone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot, log10, sqrt

from audit.engineering.domain import count, finite, positive
from audit.engineering.path_loss import wavelength_m

EARTH_M = 6_371_000.0
"""Mean radius of the earth, in metres."""
STANDARD_K = 4 / 3
"""Effective earth radius factor of the standard atmosphere: with it the radius is about 8500 km."""
ENOUGH = 0.6
"""Share of the first Fresnel zone that should be clear. Rec. ITU-R P.530 (secondary)."""
FREE_NU = -0.78
"""Below this a knife edge costs nothing. Rec. ITU-R P.526, single knife-edge obstacle."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something in the path."""

    distance_m: float
    """Along the path from the first antenna."""
    top_m: float
    """Height of its top, above the datum of the antennas' heights."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """How far the top of an obstacle is below the line of sight."""

    obstacle: Obstacle
    clearance_m: float
    """From the obstacle's top, raised by the earth's bulge, up to the line of sight; negative if above it."""
    radius_m: float
    """Radius of the first Fresnel zone there."""

    @property
    def share(self) -> float:
        """The clearance as a share of the first Fresnel zone's radius."""
        return self.clearance_m / self.radius_m

    @property
    def lacking_m(self) -> float:
        """How much is missing to 0.6 of the first Fresnel zone, in metres; 0 if nothing is."""
        return max(0.0, ENOUGH * self.radius_m - self.clearance_m)

    @property
    def loss_db(self) -> float:
        """The loss of the obstacle as a single knife edge."""
        return knife_edge_db(-sqrt(2) * self.share)


def fresnel_radius_m(
    distance_m: float, other_distance_m: float, frequency_mhz: float, zone: int = 1
) -> float:
    """Return the radius of a Fresnel zone at these distances from both antennas, √(n λ d₁ d₂ ÷ (d₁ + d₂)).

    Source: Rec. ITU-R P.526-8, Annex 1, section 2, equation 2. Its practical form has the constant 550
    with km and MHz, P.530 has 17.3 with km and GHz; both are rounded from 547.5 and 17.31.
    """
    positive(distance_m=distance_m, other_distance_m=other_distance_m)
    count(zone=zone)
    parallel_m = distance_m * other_distance_m / (distance_m + other_distance_m)
    return sqrt(zone * wavelength_m(frequency_mhz) * parallel_m)


def earth_bulge_m(distance_m: float, other_distance_m: float, k: float = STANDARD_K) -> float:
    """Return how high the earth rises above the chord between two ends, d₁ d₂ ÷ (2 k R), in metres.

    `k` is the effective earth radius factor: rays that bend more (a greater k) see a flatter earth.

    Source: common practice, h = d₁ d₂ ÷ (12.74 k) with km and m; Rec. ITU-R P.526-8, Annex 1, section 1:
    equivalent radius 8500 km if nothing else is known.
    """
    positive(distance_m=distance_m, other_distance_m=other_distance_m, k=k)
    return distance_m * other_distance_m / (2 * k * EARTH_M)


def knife_edge_db(nu: float) -> float:
    """Return the loss of a single knife edge with the diffraction parameter ν, in dB.

    ν is −√2 times the clearance as a share of the first Fresnel zone: 0 at grazing (6 dB), negative if
    the path is clear. Limit: 0 dB below ν = −0.78.

    Source: Rec. ITU-R P.526, single knife-edge obstacle, J(ν) = 6.9 + 20 log (√((ν − 0.1)² + 1) + ν − 0.1)
    (secondary: reference programs of an administration; the edition's equation number was not read).
    """
    finite(nu=nu)
    if nu <= FREE_NU:
        return 0.0
    return max(0.0, 6.9 + 20 * log10(hypot(nu - 0.1, 1) + nu - 0.1))


def clearances(
    path_m: float,
    frequency_mhz: float,
    antenna_m: float,
    other_antenna_m: float,
    obstacles: Iterable[Obstacle],
    k: float = STANDARD_K,
) -> list[Clearance]:
    """Return the clearance over each obstacle, the tightest as a share of the Fresnel zone first.

    Antenna heights and obstacle tops are above the same datum, for instance sea level.
    If several are in the way, the loss of the tightest is the least that is lost, not the total.

    Raises ValueError for an obstacle that is not between the antennas.
    """
    positive(path_m=path_m, frequency_mhz=frequency_mhz, k=k)
    finite(antenna_m=antenna_m, other_antenna_m=other_antenna_m)
    found = []
    for obstacle in obstacles:
        finite(top_m=obstacle.top_m)
        ahead_m, behind_m = obstacle.distance_m, path_m - obstacle.distance_m
        if not 0 < ahead_m < path_m:
            raise ValueError(
                f"an obstacle is {ahead_m:g} m along a path of {path_m:g} m -- "
                "give its distance from the first antenna, short of the other"
            )
        sight_m = antenna_m + (other_antenna_m - antenna_m) * ahead_m / path_m
        clearance_m = sight_m - obstacle.top_m - earth_bulge_m(ahead_m, behind_m, k)
        found.append(Clearance(obstacle, clearance_m, fresnel_radius_m(ahead_m, behind_m, frequency_mhz)))
    return sorted(found, key=lambda clearance: clearance.share)
