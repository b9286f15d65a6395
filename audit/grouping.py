"""Grouping: collect what belongs under the same key, and numbers that follow each other."""

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


def runs_of(numbers: Iterable[int]) -> list[tuple[int, int]]:
    """Return ascending numbers as runs without gaps, each as its first and last number."""
    found: list[tuple[int, int]] = []
    for number in numbers:
        if found and found[-1][1] == number - 1:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return found
