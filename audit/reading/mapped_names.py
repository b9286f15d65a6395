"""Mapped names: which key of a mapping a heading of the file goes by.

Headings are recognised in any case of letters and blanks everywhere else, and so they are here: a mapping is
written by hand, from a heading read on a screen. Only where a file has two headings that differ in nothing
else does each count as it is spelled, since the mapping tells them apart.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import chain

from audit.grouping import grouped
from audit.model.mapping import TAG_PART, Mapping
from audit.reading.identifiers import bare
from audit.reading.vocabulary import folded


def key_for(heading: str, keys: Iterable[str], mapping: Mapping) -> str | None:
    """Return which of some keys of a mapping a heading goes by, the one spelled like it first, or None."""
    spelled, alike = _by_spelling(tuple(keys))
    text = bare(heading)
    if text in spelled:
        return spelled[text]
    name = folded(text)
    return None if name in mapping.told_apart else alike.get(name)


@lru_cache(maxsize=64)
def _by_spelling(keys: tuple[str, ...]) -> tuple[dict[str, str], dict[str, str]]:
    """Return keys by their spelling and in any case; a blank, or nothing but dashes, is no other blank."""
    backwards = keys[::-1]  # of several alike, the first counts
    return {bare(key): key for key in backwards}, {folded(key): key for key in backwards if folded(key)}


def tag_parts(mapping: Mapping) -> tuple[str, ...]:
    """Return the headings of the columns that the tag is put together from; usually none."""
    return tuple(dict.fromkeys(TAG_PART.findall(mapping.tag_from)))


def used(mapping: Mapping) -> list[str]:
    """Return the headings that a mapping names for something else than a field or nothing."""
    shared = (mapping.split, mapping.labelled, mapping.unit_columns)
    parts = (mapping.only, mapping.leave_out, *shared, tag_parts(mapping))
    return [*chain.from_iterable(parts)]


def is_ignored(heading: str, mapping: Mapping) -> bool:
    """Return whether a mapping names a heading under `ignore`, and not under `columns`."""
    key = key_for(heading, (*mapping.columns, *mapping.ignore), mapping)
    return key is not None and key not in mapping.columns


def among(headings: Iterable[str], mapping: Mapping) -> Mapping:
    """Return a mapping that is to tell apart those headings of a file that differ only in case or blanks."""
    spellings = grouped((folded(heading), bare(heading)) for heading in headings)
    return mapping.telling_apart(name for name, texts in spellings.items() if len(set(texts)) > 1)
