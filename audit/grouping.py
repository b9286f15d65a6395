"""Grouping: collect what belongs under the same key."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable
from typing import TypeVar

Key = TypeVar("Key", bound=Hashable)
Item = TypeVar("Item")


def grouped(pairs: Iterable[tuple[Key, Item]]) -> defaultdict[Key, list[Item]]:
    """Return key → the items that came with it, in the order in which they came; an unknown key has none."""
    found: defaultdict[Key, list[Item]] = defaultdict(list)
    for key, item in pairs:
        found[key].append(item)
    return found
