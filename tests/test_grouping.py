"""Tests of collecting what belongs under the same key."""

from __future__ import annotations

from audit.grouping import grouped


def test_items_come_with_their_keys_in_the_order_of_their_coming() -> None:
    """Neither keys nor items are sorted."""
    assert list(grouped([("b", 2), ("a", 1), ("b", 1)]).items()) == [("b", [2, 1]), ("a", [1])]


def test_a_key_that_never_came_has_no_item() -> None:
    """So that nobody has to check first whether the key exists."""
    assert grouped([("a", 1)])["b"] == []
