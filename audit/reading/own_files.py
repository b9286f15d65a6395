"""Which of our own files was given where another was expected."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from audit.errors import InputProblems, stop
from audit.reading.documents import KINDS
from audit.reading.grid import Grid

KEEP_APART = "keep files written by asfound out of the folder of readbacks"
_KIND = re.compile(r'"(?:schema|asfound)"\s*:\s*"(?:asfound/)?([a-z-]+)/\d+"')
_BEGINNING = 2000
"""The first bytes of our JSON files, which say what they are."""
LISTS = {"priority": "punch list", "step": "work list"}
"""First heading of a list for ticking off → what the list is called."""
TICKED_OFF = {"done by", "verified by", "as left"}
"""Headings that all of these lists have."""


def kind_of(beginning: str) -> str:
    """Return which kind of our own JSON files one is, judging by its start; blank if it is not ours."""
    found = _KIND.search(beginning[:_BEGINNING])
    return KINDS.get(found[1], found[1]) if found else ""


def kind_of_file(path: Path) -> str:
    """Return the same for a file; blank also if it cannot be read, which is reported when it is read."""
    try:
        if not path.is_file():  # reading from a pipe would block
            return ""
        with path.open("rb") as stream:
            return kind_of(stream.read(_BEGINNING).decode("utf-8", "replace"))
    except OSError:
        return ""


def wrong_kind(kind: str, wanted: str, file: str, mend: str) -> InputProblems:
    """Return what to say of one of our own files that is not of the kind wanted."""
    article = "an" if kind[0] in "aeiou" else "a"
    return stop(f"is {article} {kind} of asfound, but a {wanted} was expected", mend, file=file)


def refuse_list(grids: Sequence[Grid]) -> None:
    """Raise InputProblems if a table is one of our lists for ticking off: one problem for all headings."""
    for grid in grids:
        first = grid.headings[0].strip() if grid.headings else ""
        if first in LISTS and {*map(str.strip, grid.headings)} >= TICKED_OFF:
            raise wrong_kind(LISTS[first], "readback", grid.file, KEEP_APART)
