"""Unseparated: files whose lines are not split into columns, and what to do with each kind of them."""

from __future__ import annotations

import re

from audit.reading.grid import Grid
from audit.reading.vocabulary import Vocabulary

_SECTION = re.compile(r"\[[^\]]+\]")
_ALIGNED = re.compile(r"\s{2,}")
AS_LINES = 'state `delimiter: "="` and `form: across` in a mapping, and `tag_from: file` if it has no tag'


def unseparated(grid: Grid, words: Vocabulary) -> tuple[str, str] | None:
    """Return what is wrong with a file of one column and how to mend it; None if it may just have one."""
    if len(grid.headings) != 1:
        return None
    lines = [text for text in map(str.strip, (*grid.headings, *grid.columns[0])) if text]
    settings = sum("=" in line for line in lines)
    if settings and any(map(_SECTION.fullmatch, lines)):
        mend = "write it as YAML: `PT-31:`, and below it, indented, `CH: 7`; or save each section as a file "
        mend += f"named for its device, without the line in brackets, and {AS_LINES}"
        return "has sections in brackets, and settings as `name = value`", mend
    if 2 * settings > len(lines):
        return "has settings as `name = value`, one below the other, and no columns", AS_LINES
    if sum(words.headed(part) is not None for part in _ALIGNED.split(lines[0])) > 1:
        mend = "open it in a spreadsheet as columns of fixed width, all of them as text, and save it as CSV"
        return "its columns are aligned by blanks, which texts may have too", mend
    return None
