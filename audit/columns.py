"""Columns side by side: a question is put once to each distinct combination, not to each device."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import compress, count
from typing import Any

from audit.model.value import Values


def where(columns: Sequence[Sequence[Any]], wanted: Callable[..., object]) -> list[int]:
    """Return the positions at which columns of one length hold what `wanted` takes.

    `wanted` is given one item of each column. Most combinations come many times, and most questions
    are about what is rare, so that a column of 100,000 costs a few milliseconds.
    """
    if len(columns) == 1:  # without a tuple around each item
        items = columns[0]
        alone = {item for item in (items.among if isinstance(items, Values) else set(items)) if wanted(item)}
        return list(compress(count(), map(alone.__contains__, items))) if alone else []
    chosen = {items for items in set(zip(*columns, strict=True)) if wanted(*items)}
    if not chosen:
        return []
    return list(compress(count(), map(chosen.__contains__, zip(*columns, strict=True))))
