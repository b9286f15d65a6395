"""Positions: half a position is none, and whatever needs the position would be left out."""

from __future__ import annotations

from collections.abc import Iterator

from audit.errors import Problem
from audit.model.table import Table
from audit.phrases import listed

PAIRS = (("x_m", "y_m"), ("latitude", "longitude"))
MOST_TAGS = 5


def halves(table: Table) -> Iterator[Problem]:
    """Yield a problem for the devices of a table that have one coordinate but not the other."""
    for one, other in (*PAIRS, *((other, one) for one, other in PAIRS)):
        if one not in table.columns:
            continue
        pairs = zip(table.texts(one), table.texts(other), strict=True)
        entries = [e for e, (given, missing) in enumerate(pairs) if given.strip() and not missing.strip()]
        if entries:
            tags = table.texts("tag")
            named = listed([tags[entry].strip() for entry in entries], MOST_TAGS)
            message = f"{named}: a position has {one} but no {other}"
            yield table.place(entries[0], one).problem(message, f"give {other} as well, or neither")
