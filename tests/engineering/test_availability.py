"""Availability and margin: more margin, more availability, and each the inverse of the other."""

from __future__ import annotations

import pytest
from hypothesis import given

from audit.engineering.availability import (
    log_normal_availability,
    log_normal_margin_db,
    rayleigh_availability,
    rayleigh_margin_db,
    rayleigh_outage,
)
from tests.engineering.numbers import INNER_PARTS, NOT_FINITE, NOT_POSITIVE, between

MARGINS_DB, SIGMAS_DB = between(-20, 60), between(1, 15)


@given(margin_db=between(-10, 60))
def test_rayleigh_comes_back(margin_db: float) -> None:
    """Margin → availability → margin."""
    assert rayleigh_margin_db(rayleigh_availability(margin_db)) == pytest.approx(margin_db, abs=1e-5)


@given(availability=INNER_PARTS)
def test_rayleigh_availability_comes_back(availability: float) -> None:
    """Availability → margin → availability."""
    assert rayleigh_availability(rayleigh_margin_db(availability)) == pytest.approx(availability, rel=1e-9)


@given(availability=INNER_PARTS, sigma_db=SIGMAS_DB)
def test_log_normal_comes_back(availability: float, sigma_db: float) -> None:
    """Availability → margin → availability."""
    margin_db = log_normal_margin_db(availability, sigma_db)
    assert log_normal_availability(margin_db, sigma_db) == pytest.approx(availability, rel=1e-9)


@given(margin_db=MARGINS_DB, more_db=between(0, 30), sigma_db=SIGMAS_DB)
def test_more_margin_never_harms(margin_db: float, more_db: float, sigma_db: float) -> None:
    """Both stay between 0 and 1, and rise."""
    assert 0 <= rayleigh_availability(margin_db) <= rayleigh_availability(margin_db + more_db) <= 1
    low = log_normal_availability(margin_db, sigma_db)
    assert 0 <= low <= log_normal_availability(margin_db + more_db, sigma_db) <= 1


@given(margin_db=MARGINS_DB)
def test_outage_is_the_rest(margin_db: float) -> None:
    """Availability and outage are one together."""
    assert rayleigh_availability(margin_db) + rayleigh_outage(margin_db) == pytest.approx(1)


def test_a_small_outage_is_exact() -> None:
    """At 200 dB the availability is 1 in floating point, and the outage still 1e-20."""
    assert rayleigh_availability(200) == 1
    assert rayleigh_outage(200) == pytest.approx(1e-20, rel=1e-9)


@given(margin_db=MARGINS_DB, sigma_db=SIGMAS_DB)
def test_shadowing_is_even_about_its_median(margin_db: float, sigma_db: float) -> None:
    """A margin of 0 serves half the places, and as many are above as below."""
    assert log_normal_availability(0, sigma_db) == 0.5
    both = log_normal_availability(margin_db, sigma_db) + log_normal_availability(-margin_db, sigma_db)
    assert both == pytest.approx(1)


@given(availability=between(0.51, 0.9999), sigma_db=SIGMAS_DB, factor=between(1, 5))
def test_the_margin_grows_with_the_shadowing(availability: float, sigma_db: float, factor: float) -> None:
    """In proportion."""
    margin_db = log_normal_margin_db(availability, sigma_db)
    assert log_normal_margin_db(availability, sigma_db * factor) == pytest.approx(margin_db * factor)


@pytest.mark.parametrize("availability", [0, 1, -0.1, 1.1, 99, *NOT_FINITE])
def test_no_margin_gives_certainty(availability: float) -> None:
    """And 99 is a percentage, not a share."""
    with pytest.raises(ValueError, match="availability is"):
        rayleigh_margin_db(availability)
    with pytest.raises(ValueError, match="availability is"):
        log_normal_margin_db(availability, 8)


@pytest.mark.parametrize("sigma_db", NOT_POSITIVE)
def test_shadowing_has_a_spread(sigma_db: float) -> None:
    """Without one there is no distribution."""
    with pytest.raises(ValueError, match="sigma_db is"):
        log_normal_availability(10, sigma_db)
    with pytest.raises(ValueError, match="sigma_db is"):
        log_normal_margin_db(0.9, sigma_db)
