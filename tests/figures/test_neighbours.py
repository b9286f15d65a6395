"""Networks too near each other: the graph that channels are chosen by."""

from __future__ import annotations

from dataclasses import replace
from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.figures.neighbours import Reach, conflicts, needed_m, ratio_db
from audit.model.base import Position

PLACES = st.floats(-50_000, 50_000)
REACHES = st.builds(
    Reach,
    network=st.uuids().map(str),
    position=st.builds(Position, x_m=PLACES, y_m=PLACES),
    farthest_m=st.floats(1, 5_000),
    exponent=st.floats(2, 4),
)


def network(name: str, x_m: float, farthest_m: float = 500, exponent: float = 2) -> Reach:
    """Return a network whose gateway is so many metres from the origin."""
    return Reach(name, Position(x_m=x_m, y_m=0), farthest_m, exponent)


def test_the_distance_needed() -> None:
    """At exponent 2, 10 dB are a factor of the root of 10; the other's farthest node is on the near side."""
    assert needed_m(network("A", 0), network("B", 0), 10) == pytest.approx(500 * 10**0.5 + 500)


def test_the_farther_reaching_network_decides() -> None:
    """Both ways round are looked at: the larger network is the easier victim."""
    small, large = network("A", 0, 100), network("B", 0, 1000)

    assert needed_m(small, large, 10) == needed_m(large, small, 10) == pytest.approx(1000 * 10**0.5 + 100)


@pytest.mark.parametrize(("required_db", "disturb"), [(10, ["AB"]), (13, ["AB", "BC"])])
def test_only_neighbours_disturb_each_other(required_db: float, disturb: list[str]) -> None:
    """Three networks in a row."""
    row = [network("A", 0), network("B", 2_000), network("C", 4_200)]

    assert [one.one.network + one.other.network for one in conflicts(row, required_db)] == disturb


def test_gateways_in_one_place_conflict() -> None:
    """No distance at all is less than any that is needed."""
    (conflict,) = conflicts([network("A", 0), network("B", 0)], 0)
    (on_one_mast,) = conflicts([network("A", 0), network("B", 0.5)], 0)

    assert (conflict.apart_m, on_one_mast.apart_m) == (0, 0.5)


def test_the_ratio_that_is_left() -> None:
    """At exponent 2, gateways 800 m apart: 400 m against 700 m leave 4.9 dB, 100 m against 400 m more."""
    (conflict,) = conflicts([network("A", 0, 100), network("B", 800, 400)], 10)
    (other,) = conflicts([network("B", 0, 400), network("A", 800, 100)], 10)

    assert ratio_db(conflict) == ratio_db(other) == pytest.approx(20 * log10(700 / 400))


def test_no_ratio_is_left_where_a_node_may_stand_at_the_other_gateway() -> None:
    """The other network reaches 500 m, and its gateway is 500 m away."""
    (conflict,) = conflicts([network("A", 0, 100), network("B", 500, 500)], 10)

    assert ratio_db(conflict) is None


def test_nothing_is_known_of_positions_in_two_systems() -> None:
    """One in grid coordinates and one in latitude and longitude make no pair."""
    on_earth = replace(network("B", 0), position=Position(latitude=51.0, longitude=7.0))

    assert conflicts([network("A", 0), on_earth], 10) == []


@given(one=REACHES, other=REACHES, required_db=st.floats(0, 30), more_db=st.floats(0, 30))
def test_more_decibels_never_free_a_pair(
    one: Reach, other: Reach, required_db: float, more_db: float
) -> None:
    """A conflict remains if more is required; the order of two networks does not matter."""
    found = conflicts([one, other], required_db)

    assert len(conflicts([one, other], required_db + more_db)) >= len(found)
    assert len(conflicts([other, one], required_db)) == len(found)


@given(one=REACHES, other=REACHES, required_db=st.floats(0, 30))
def test_too_near_means_that_less_is_left_than_is_required(
    one: Reach, other: Reach, required_db: float
) -> None:
    """The distance needed and the ratio left say the same in metres and in decibels."""
    for conflict in conflicts([one, other], required_db):
        left_db = ratio_db(conflict)
        assert left_db is None or left_db < required_db + 1e-6
