"""A grid: headings and columns of raw text as a file has them, before anything is understood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Grid:
    """One table as it stands: `columns[i]` is headed `headings[i]`, entry `k` stands in `rows[k]`."""

    file: str
    sheet: str
    headings: Sequence[str]
    letters: Sequence[str]
    heading_row: int
    columns: Sequence[list[str]]
    rows: Sequence[int]
