"""Gaps in the numbers of entries: readings that were entered and are in none of the files given.

`asfound enter` and the form number the readings of each setting, and delete none. Whoever takes a line out,
to tidy up or to be rid of a value, leaves a gap, unless it is the last one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from audit.grouping import grouped
from audit.phrases import listed
from audit.reading.entries import Entries, Key

MOST = 5
"""How many settings with a gap are named."""


def gaps(files: Iterable[Entries]) -> dict[str, str]:
    """Return file → how many readings are missing before the last one of a setting; only where some are.

    All files count together, since readings may be divided among several.
    """
    numbers: dict[Key, set[int]] = defaultdict(set)
    last: dict[Key, tuple[int, str]] = {}
    for entries in files:
        for line in entries.lines:
            key, number = line.key, line.entry.reading
            if line.entry.skipped is None:
                numbers[key].add(number)
            else:
                number -= 1  # skipping is no reading, and has the number of the next one
            last[key] = max(last.get(key, (0, "")), (number, entries.file))
    missing = [
        (file, f"{key[1]} {key[2]} ({gone:,} of {most:,})")
        for key, (most, file) in last.items()
        if (gone := most - sum(number <= most for number in numbers[key]))
    ]
    return {file: listed(texts, MOST) for file, texts in grouped(missing).items()}
