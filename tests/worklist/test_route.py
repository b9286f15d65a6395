"""The order of visits: first what the steps require; then places in one go, or a short round."""

from __future__ import annotations

import pytest

from audit.model.base import Position
from audit.worklist.route import Stop, by_distance, by_names, metres

START = Position(x_m=0, y_m=0)


def stop(name: str, place: str = "", *needs: str, x: float | None = None, network: str = "N") -> Stop:
    """Return a stop, some metres to the east."""
    position = None if x is None else Position(x_m=x, y_m=0)
    return Stop((name,), network, place or name, (name,), frozenset((need,) for need in needs), position)


def names(stops: list[Stop]) -> list[str]:
    """Return the names of stops."""
    return [str(one.key[0]) for one in stops]


@pytest.mark.parametrize(
    ("stops", "order"),
    [
        pytest.param([stop("c"), stop("a"), stop("b")], "abc", id="by name, where nothing has to come first"),
        pytest.param([stop("a", "yard"), stop("b", "mast"), stop("c", "yard")], "acb",
                     id="both devices of the yard in one go"),
        pytest.param([stop("a", "yard"), stop("b", "mast"), stop("c", "yard", "b")], "bac",
                     id="c waits for b: the yard after the mast, and not twice"),
        pytest.param([stop("a", "yard"), stop("b", "mast", "a"), stop("c", "yard", "b")], "abc",
                     id="b waits for a and c for b: the yard, the mast, the yard"),
    ],
)  # fmt: skip
def test_a_place_is_done_in_one_go_as_far_as_the_steps_allow(stops: list[Stop], order: str) -> None:
    """Otherwise stops are visited in the order of their ranks."""
    assert names(by_names(stops)) == [*order]


def test_a_network_is_done_before_the_next_though_a_place_in_it_is_visited_twice() -> None:
    """B waits for a and c for b, all in N; nobody drives to S and back in between."""
    stops = [stop("a", "yard"), stop("b", "mast", "a"), stop("c", "yard", "b"), stop("d", network="S")]

    assert names(by_names(stops)) == ["a", "b", "c", "d"]


def test_a_network_that_waits_for_another_comes_after_it() -> None:
    """B of N waits for d of S: N is driven to once, after S."""
    stops = [stop("a"), stop("b", "", "d"), stop("d", network="S"), stop("e", network="S")]

    assert names(by_names(stops)) == ["d", "e", "a", "b"]


def test_the_shortest_round_from_the_start() -> None:
    """Out along one side of the line, back along the other: 10 to the west, 20 to the east."""
    order, length, how = by_distance([stop("far", x=20), stop("near", x=5), stop("west", x=-10)], START)

    assert length == 60
    assert names(order) in (
        ["near", "far", "west"],
        ["west", "near", "far"],
        ["far", "near", "west"],
        ["west", "far", "near"],
    )
    assert how == "shortest round, exact over 3 visits"


def test_places_without_a_position_come_last_and_that_is_said() -> None:
    """They have no distance."""
    order, length, how = by_distance([stop("a"), stop("b", x=3)], START)

    assert names(order) == ["b", "a"]
    assert length == 6
    assert how.endswith("1 without a position comes last")


def test_a_place_without_a_position_that_is_needed_comes_before() -> None:
    """A stop that another needs comes first, wherever it is."""
    assert names(by_distance([stop("a"), stop("b", "", "a", x=3)], START)[0]) == ["a", "b"]


def test_a_place_without_a_position_waits_for_one_that_has_one() -> None:
    """The waiting stop comes after it, as do all without a position."""
    order, _, how = by_distance([stop("a", "", "b"), stop("b", x=3)], START)

    assert names(order) == ["b", "a"]
    assert how.endswith("1 without a position comes last")


def test_one_of_many_places_waits_for_one_without_a_position() -> None:
    """The round is found without it; the one that waits is visited after it, last of all."""
    needs = {3: ["lost"]}
    stops = [stop("lost"), *(stop(f"{n:02}", "", *needs.get(n, []), x=n) for n in range(12))]
    order, _, how = by_distance(stops, START)

    assert names(order)[-2:] == ["lost", "03"]
    assert "approximate" in how


def test_many_places_in_a_possible_order() -> None:
    """With more than ten stops the order is approximate, and no stop comes before one that it needs."""
    stops = [stop(f"{n:02}", "", *([f"{n + 1:02}"] if n < 14 else []), x=n) for n in range(15)]
    order, _, how = by_distance(stops, START)

    assert names(order) == [f"{n:02}" for n in range(14, -1, -1)]
    assert "approximate" in how


def test_the_same_stops_in_another_order_give_the_same_round() -> None:
    """Of two equally short rounds the names decide."""
    stops = [stop("a", x=1), stop("b", x=-1), stop("c", x=2)]

    assert by_distance(stops, START) == by_distance(stops[::-1], START)


def test_grid_and_earth_have_no_distance() -> None:
    """A plan may have one device on the grid and another on the earth."""
    assert metres(START, Position(latitude=1, longitude=1)) is None
