"""Path loss: free space, two rays over flat ground, and log-distance. Losses are positive, in dB."""

from __future__ import annotations

from math import log10, pi

from audit.engineering.domain import finite, positive

LIGHT_M_S = 299_792_458
"""Speed of light in a vacuum, in metres a second: exact, by the definition of the metre."""


def check_exponent(exponent: float) -> None:
    """Raise ValueError for an impossible path loss exponent: below 1 or above 10."""
    finite(exponent=exponent)
    if not 1 <= exponent <= 10:
        raise ValueError(f"exponent is {exponent:g} -- it is 2 in free space, and from 1 to 10 anywhere")


def wavelength_m(frequency_mhz: float) -> float:
    """Return the wavelength in metres."""
    positive(frequency_mhz=frequency_mhz)
    return LIGHT_M_S / (frequency_mhz * 1e6)


def free_space_db(distance_m: float, frequency_mhz: float) -> float:
    """Return the basic transmission loss of free space, 20 log (4 π d ÷ λ).

    Limit: 0 dB nearer than λ ÷ 4π, where the formula no longer holds.

    Source: Rec. ITU-R P.525, the point-to-point formula (secondary: articles that quote it). Its engineering
    form, 32.4 + 20 log f + 20 log d with MHz and km, is 0.048 dB below this exact one, since the constant is
    32.4478.
    """
    positive(distance_m=distance_m)
    return max(0.0, 20 * log10(4 * pi * distance_m / wavelength_m(frequency_mhz)))


def plane_earth_db(distance_m: float, height_m: float, other_height_m: float) -> float:
    """Return the loss over flat ground far from both antennas, 40 log d − 20 log h₁ − 20 log h₂.

    Heights are those of the antennas above the ground. The frequency does not matter here. Nearer than
    `crossover_m` the result is too low: use `two_ray_db`, the greater of this and free space.

    Source: J.-P. Linnartz, Two-Ray Model, Wireless Communication Reference Website, 1999.
    """
    positive(distance_m=distance_m, height_m=height_m, other_height_m=other_height_m)
    return 40 * log10(distance_m) - 20 * log10(height_m) - 20 * log10(other_height_m)


def crossover_m(frequency_mhz: float, height_m: float, other_height_m: float) -> float:
    """Return the distance at which plane earth and free space lose the same, 4 π h₁ h₂ ÷ λ, in metres.

    Another 'breakpoint' in the literature, 4 h₁ h₂ ÷ λ, is smaller by the factor π.
    """
    positive(height_m=height_m, other_height_m=other_height_m)
    return 4 * pi * height_m * other_height_m / wavelength_m(frequency_mhz)


def two_ray_db(distance_m: float, frequency_mhz: float, height_m: float, other_height_m: float) -> float:
    """Return the loss over flat ground: free space up to `crossover_m`, plane earth beyond.

    The ripple of the two rays before the crossover is smoothed out.
    """
    return max(free_space_db(distance_m, frequency_mhz), plane_earth_db(distance_m, height_m, other_height_m))


def log_distance_db(
    distance_m: float, *, exponent: float, reference_m: float, reference_db: float, shadowing_db: float = 0.0
) -> float:
    """Return the loss that grows by 10 × `exponent` dB a decade of distance, plus an allowance for shadowing.

    `reference_db` is the loss at `reference_m`, measured or that of free space. The exponent is 2 in free
    space, 4 on flat ground, and what a survey says anywhere else. The allowance is
    `availability.log_normal_margin_db` for the share of places to be served.

    Raises ValueError nearer than the reference, where the model does not apply.

    Source: common practice; V. Garg, Wireless Communications and Networking, 2007, equation 3.11
    (secondary: worked examples of that book).
    """
    positive(distance_m=distance_m, reference_m=reference_m)
    check_exponent(exponent)
    finite(reference_db=reference_db, shadowing_db=shadowing_db)
    if distance_m < reference_m:
        raise ValueError(
            f"distance_m is {distance_m:g}, nearer than reference_m {reference_m:g} -- "
            "give the loss at a nearer reference"
        )
    return reference_db + 10 * exponent * log10(distance_m / reference_m) + shadowing_db
