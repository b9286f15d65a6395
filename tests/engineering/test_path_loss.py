"""Path losses grow with distance as their laws say, and their inverses come back."""

from __future__ import annotations

from math import log10, pi

import pytest
from hypothesis import assume, given

from audit.engineering.path_loss import (
    crossover_m,
    free_space_db,
    log_distance_db,
    plane_earth_db,
    two_ray_db,
    wavelength_m,
)
from tests.engineering.numbers import (
    DISTANCES_M,
    FREQUENCIES_MHZ,
    HEIGHTS_M,
    NOT_POSITIVE,
    between,
)


@given(distance_m=between(10, 1e5), frequency_mhz=FREQUENCIES_MHZ, factor=between(1, 10))
def test_free_space_falls_by_20_db_a_decade(distance_m: float, frequency_mhz: float, factor: float) -> None:
    """Farther and at higher frequencies alike."""
    base = free_space_db(distance_m, frequency_mhz)
    more = pytest.approx(base + 20 * log10(factor), abs=1e-9)
    assert free_space_db(distance_m * factor, frequency_mhz) == more
    assert free_space_db(distance_m, frequency_mhz * factor) == more


def test_free_space_never_amplifies() -> None:
    """Nearer than wavelength ÷ 4π the formula would; there it is 0 dB."""
    edge_m = wavelength_m(915) / (4 * pi)
    assert free_space_db(edge_m / 100, 915) == 0
    assert free_space_db(edge_m * 1.01, 915) > 0


@given(distance_m=DISTANCES_M, height_m=HEIGHTS_M, other_height_m=HEIGHTS_M, factor=between(1, 10))
def test_plane_earth_falls_by_40_db_a_decade(
    distance_m: float, height_m: float, other_height_m: float, factor: float
) -> None:
    """Twice as high an antenna gains 6 dB at either end."""
    base = plane_earth_db(distance_m, height_m, other_height_m)
    step_db = 20 * log10(factor)
    assert plane_earth_db(distance_m * factor, height_m, other_height_m) == pytest.approx(base + 2 * step_db)
    assert plane_earth_db(distance_m, height_m * factor, other_height_m) == pytest.approx(base - step_db)
    assert plane_earth_db(distance_m, other_height_m, height_m) == pytest.approx(base)


@given(frequency_mhz=FREQUENCIES_MHZ, height_m=HEIGHTS_M, other_height_m=HEIGHTS_M)
def test_both_models_agree_at_the_crossover(
    frequency_mhz: float, height_m: float, other_height_m: float
) -> None:
    """Free space before it, plane earth beyond, with no step between them."""
    heights = height_m, other_height_m
    at_m = crossover_m(frequency_mhz, *heights)
    assume(at_m > 1)
    assert free_space_db(at_m, frequency_mhz) == pytest.approx(plane_earth_db(at_m, *heights), abs=1e-6)
    nearer, farther = at_m * 0.99, at_m * 1.01
    assert two_ray_db(nearer, frequency_mhz, *heights) == free_space_db(nearer, frequency_mhz)
    assert two_ray_db(farther, frequency_mhz, *heights) == plane_earth_db(farther, *heights)


@given(
    frequency_mhz=FREQUENCIES_MHZ,
    height_m=HEIGHTS_M,
    other_height_m=HEIGHTS_M,
    distance_m=DISTANCES_M,
    further_m=between(0, 1e4),
)
def test_two_rays_never_grow_with_distance(
    frequency_mhz: float, height_m: float, other_height_m: float, distance_m: float, further_m: float
) -> None:
    """The smooth form only falls."""
    near = two_ray_db(distance_m, frequency_mhz, height_m, other_height_m)
    assert two_ray_db(distance_m + further_m, frequency_mhz, height_m, other_height_m) >= near


@given(distance_m=between(10, 1e5), frequency_mhz=FREQUENCIES_MHZ)
def test_log_distance_with_exponent_2_is_free_space(distance_m: float, frequency_mhz: float) -> None:
    """Free space is the special case."""
    loss_db = log_distance_db(
        distance_m, exponent=2, reference_m=10, reference_db=free_space_db(10, frequency_mhz)
    )
    assert loss_db == pytest.approx(free_space_db(distance_m, frequency_mhz))


def test_log_distance_says_nothing_nearer_than_its_reference() -> None:
    """No loss is made up for it."""
    with pytest.raises(ValueError, match="nearer than reference_m 100"):
        log_distance_db(99, exponent=3, reference_m=100, reference_db=70)


@pytest.mark.parametrize("exponent", [0, -2, 0.5, 11, float("nan")])
def test_exponents_that_are_none(exponent: float) -> None:
    """A slip for 3.5, such as 35, is caught; the limits themselves are taken."""
    for limit in (1, 10):
        assert log_distance_db(10, exponent=limit, reference_m=1, reference_db=40) == 40 + 10 * limit
    with pytest.raises(ValueError, match="exponent is"):
        log_distance_db(100, exponent=exponent, reference_m=1, reference_db=40)


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_distances_heights_and_frequencies_are_above_0(wrong: float) -> None:
    """One message, naming the argument."""
    with pytest.raises(ValueError, match="distance_m"):
        free_space_db(wrong, 915)
    with pytest.raises(ValueError, match="frequency_mhz"):
        free_space_db(100, wrong)
    with pytest.raises(ValueError, match="other_height_m"):
        two_ray_db(100, 915, 2, wrong)
    with pytest.raises(ValueError, match="height_m"):
        crossover_m(915, wrong, 2)
