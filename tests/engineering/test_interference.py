"""Carrier to interference, and the distance that it needs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.interference import (
    carrier_to_interference_at_db,
    carrier_to_interference_db,
    interferer_distance_m,
    reuse_distance_m,
)
from audit.engineering.path_loss import log_distance_db
from tests.engineering.numbers import DISTANCES_M, EXPONENTS, LEVELS_DBM, NOT_POSITIVE, between

INTERFERERS = st.integers(1, 12)


@given(wanted_m=DISTANCES_M, required_db=between(-10, 40), exponent=EXPONENTS, interferers=INTERFERERS)
def test_the_distance_gives_the_ratio(
    wanted_m: float, required_db: float, exponent: float, interferers: int
) -> None:
    """The inverse, for interferers equally far."""
    far_m = interferer_distance_m(wanted_m, required_db, exponent, interferers)
    ratio_db = carrier_to_interference_at_db(wanted_m, [far_m] * interferers, exponent)
    assert ratio_db == pytest.approx(required_db, abs=1e-9)


@given(wanted_m=DISTANCES_M, others_m=st.lists(DISTANCES_M, min_size=1, max_size=5), exponent=EXPONENTS)
def test_distances_and_levels_agree(wanted_m: float, others_m: list[float], exponent: float) -> None:
    """The ratio by distance is that of the levels which log-distance predicts."""

    def level_dbm(distance_m: float) -> float:
        return 20 - log_distance_db(distance_m, exponent=exponent, reference_m=1, reference_db=30)

    by_level = carrier_to_interference_db(level_dbm(wanted_m), map(level_dbm, others_m))
    assert carrier_to_interference_at_db(wanted_m, others_m, exponent) == pytest.approx(by_level, abs=1e-6)


@given(carrier_dbm=LEVELS_DBM, others_dbm=st.lists(LEVELS_DBM, min_size=1, max_size=5), one_dbm=LEVELS_DBM)
def test_one_more_interferer_never_helps(carrier_dbm: float, others_dbm: list[float], one_dbm: float) -> None:
    """The ratio falls, or stays where the newcomer is far below."""
    before = carrier_to_interference_db(carrier_dbm, others_dbm)
    assert carrier_to_interference_db(carrier_dbm, [*others_dbm, one_dbm]) <= before + 1e-9


@given(
    reach_m=DISTANCES_M, other_m=between(0, 1e5), required_db=between(0, 30), exponent=EXPONENTS,
    stronger_db=between(0, 20),
)  # fmt: skip
def test_reuse_keeps_the_worst_pair_apart(
    reach_m: float, other_m: float, required_db: float, exponent: float, stronger_db: float
) -> None:
    """At the reuse distance the other network's nearest node leaves just the ratio required."""
    apart_m = reuse_distance_m(reach_m, other_m, required_db, exponent, stronger_db=stronger_db)
    nearest_m = apart_m - other_m
    ratio_db = carrier_to_interference_at_db(reach_m, [nearest_m], exponent) - stronger_db
    assert ratio_db == pytest.approx(required_db, abs=1e-3)


def test_equally_far_and_strong_is_0_db() -> None:
    """One interferer as far as the wanted sender is as strong."""
    assert carrier_to_interference_at_db(500, [500], 3.5) == 0
    assert interferer_distance_m(500, 0, 3.5) == 500


def test_without_interferers_there_is_no_ratio() -> None:
    """Neither by level nor by distance."""
    with pytest.raises(ValueError, match="at least one"):
        carrier_to_interference_db(-70, [])
    with pytest.raises(ValueError, match="at least one"):
        carrier_to_interference_at_db(500, [], 3.5)


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_distances_are_above_0(wrong: float) -> None:
    """A distance of 0 would be an infinite level."""
    with pytest.raises(ValueError, match="wanted_m"):
        carrier_to_interference_at_db(wrong, [500], 3.5)
    with pytest.raises(ValueError, match="interferer_m"):
        carrier_to_interference_at_db(500, [wrong], 3.5)
    with pytest.raises(ValueError, match="wanted_m"):
        reuse_distance_m(wrong, 500, 12, 3.5)


def test_there_is_at_least_one_interferer_and_an_exponent() -> None:
    """Both are checked before anything is calculated."""
    with pytest.raises(ValueError, match="interferers is 0"):
        interferer_distance_m(500, 12, 3.5, interferers=0)
    with pytest.raises(ValueError, match="exponent is 35"):
        interferer_distance_m(500, 12, 35)
    with pytest.raises(ValueError, match="other_reach_m"):
        reuse_distance_m(500, -1, 12, 3.5)
