"""Columns side by side: a test is applied once to each distinct combination, not to each device."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from functools import reduce
from itertools import compress, count
from operator import or_
from typing import Any

from audit.model.value import Values


def where(columns: Sequence[Sequence[Any]], wanted: Callable[..., object]) -> list[int]:
    """Return the positions at which columns of equal length hold items that `wanted` accepts.

    `wanted` is given one item from each column. Most combinations occur many times, and most tests
    look for what is rare, so a column of 100,000 takes a few milliseconds.
    """
    if len(columns) == 1:  # without a tuple around each item
        items = columns[0]
        alone = {item for item in (items.among if isinstance(items, Values) else set(items)) if wanted(item)}
        return list(compress(count(), map(alone.__contains__, items))) if alone else []
    chosen = {items for items in set(zip(*columns, strict=True)) if wanted(*items)}
    if not chosen:
        return []
    return list(compress(count(), map(chosen.__contains__, zip(*columns, strict=True))))


def where_numbers(
    columns: Sequence[Values],
    suspect: Callable[[Sequence[list[Decimal]]], Sequence[Iterable[bool]]],
    wanted: Callable[..., object],
) -> list[int]:
    """Return the same as `where`, faster for columns of numbers in which hardly any two rows are alike.

    `suspect` is given the columns as numbers and returns columns that are true wherever `wanted` may
    accept the row; `wanted` then decides. If any value is not a number, every row is looked at.
    """
    numbers = [column.numbers for column in columns]
    whole = [column for column in numbers if column is not None]
    if len(whole) < len(columns):
        return where(columns, wanted)
    signs = suspect(whole)
    rows = compress(count(), reduce(lambda one, other: map(or_, one, other), signs))
    return [i for i in rows if wanted(*(column[i] for column in columns))]
