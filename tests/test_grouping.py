"""Items with the same key are collected under it."""

from __future__ import annotations

from audit.grouping import grouped


def test_keys_and_items_keep_their_order() -> None:
    """Neither keys nor items are sorted."""
    assert list(grouped([("b", 2), ("a", 1), ("b", 1)]).items()) == [("b", [2, 1]), ("a", [1])]


def test_an_absent_key_has_no_items() -> None:
    """Nobody has to check first whether a key exists."""
    assert grouped([("a", 1)])["b"] == []
