"""Heading rows: headings that take up two rows or three, put together column by column."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from audit.reading.identifiers import bare


def joined_headings(rows: Sequence[Sequence[str]]) -> list[str]:
    """Return one heading for each column of some rows of headings: `Range` above `Low` makes `Range Low`.

    A heading extends to the right over blank cells, as merged ones are, that have a heading below them.
    """
    if len(rows) == 1:
        return [*rows[0]]
    headings = []
    above = [""] * len(rows)
    for texts in zip_longest(*rows, fillvalue=""):
        last = max((k for k, text in enumerate(texts) if bare(text)), default=-1)
        for k, text in enumerate(texts):
            if bare(text):
                above[k:] = [bare(text), *[""] * (len(rows) - k - 1)]
        headings.append(
            " ".join(filter(None, (*above[:last], *map(bare, texts[last : last + 1])))) if last >= 0 else ""
        )
    return headings
