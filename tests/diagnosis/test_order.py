"""The order of checks: the desk first where that pays, all checks at the node in one trip, and the time."""

from __future__ import annotations

import pytest

from audit.diagnosis.order import (
    Option,
    Order,
    best_order,
    by_ratio,
    expected_minutes,
    finding,
    order_from_there,
    unresolved,
)

EVEN = {"a": 0.5, "b": 0.3, "c": 0.2}
A, B, C = (Option(cause, 10, {cause: 1.0}) for cause in "abc")


def names(options: tuple[Option, ...]) -> str:
    """Return the names of options, run together."""
    return "".join(option.id for option in options)


def test_equal_minutes_the_most_probable_first() -> None:
    """If all else is equal, the most probable cause is looked for first."""
    assert names(best_order(EVEN, [C, B, A], [], 0).before) == "abc"


def test_a_quick_check_of_a_rare_cause_first() -> None:
    """A minute that finds 20 % goes before ten that find 50 %."""
    quick = Option("c", 1, {"c": 1.0})

    assert names(best_order(EVEN, [A, B, quick], [], 0).before) == "cab"


def test_expected_minutes_by_hand() -> None:
    """10 + 10 × 0.5 + 10 × 0.2: each check counts by the chance that none before it found the cause."""
    assert expected_minutes(EVEN, Order((A, B, C), (), (), 0)) == pytest.approx(17)


def test_the_way_is_paid_once() -> None:
    """Two checks at the node cost one journey: 60 + 10, then 10 × 0.5."""
    assert expected_minutes(EVEN, Order((), (A, B), (), 60)) == pytest.approx(75)


def test_the_desk_before_a_long_way() -> None:
    """What can be found at the desk is looked for before somebody drives."""
    order = best_order(EVEN, [C], [A, B], 90)

    assert (names(order.before), names(order.trip), names(order.after)) == ("c", "ab", "")


def test_driving_first_where_the_desk_finds_nothing_much() -> None:
    """A long look at the desk for a rare cause waits until after the trip."""
    slow = Option("c", 100, {"c": 0.5})

    order = best_order(EVEN, [slow], [A, B], 20)

    assert (names(order.before), names(order.trip), names(order.after)) == ("", "ab", "c")


def test_two_checks_that_find_the_same_cause() -> None:
    """A second check of a cause that the first has nearly ruled out goes to the end."""
    again = Option("again", 9, {"a": 0.9})
    sure = Option("sure", 10, {"a": 1.0})

    assert names(best_order(EVEN, [again, sure, B, C], [], 0).before) == "surebcagain"


def test_somebody_at_the_node_stays_there() -> None:
    """Somebody who is there does all that is left there before going back to the desk."""
    order = order_from_there(EVEN, [A], [B, C])

    assert (names(order.trip), names(order.after), order.travel) == ("bc", "a", 0)


def test_nothing_to_check() -> None:
    """No checks, no minutes."""
    order = best_order(EVEN, [], [], 90)

    assert (order.checks, expected_minutes(EVEN, order)) == ((), 0)


def test_what_checks_leave() -> None:
    """Two checks for one cause, each nine times in ten successful, miss it one time in a hundred."""
    look = Option("look", 1, {"a": 0.9})

    assert unresolved(EVEN, [look, look]) == pytest.approx(0.5 * 0.01 + 0.5)
    assert finding(EVEN, look) == pytest.approx(0.45)


def test_more_checks_than_can_be_weighed() -> None:
    """With too many checks to compare all orders the ratio decides, and nothing is left out."""
    many = [Option(str(n), n + 1, {"a": 0.1}) for n in range(11)]

    order = best_order(EVEN, many, [], 0)

    assert order == by_ratio(EVEN, many, [], 0)
    assert len(order.checks) == 11
