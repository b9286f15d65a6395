"""Engineering figures as CSV, one row per figure, for any spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator

from audit.model.figure_list import FigureList
from audit.phrases import clean
from audit.reporting.csv_text import written

HEADS = ("network", "node", "figure", "value", "unit", "at least", "at most", "beyond", "sum")


def render(made: FigureList) -> str:
    """Return the rows with their headings, separated by commas."""
    return written([HEADS, *([clean(cell) for cell in row] for row in _rows(made))])


def _rows(made: FigureList) -> Iterator[tuple[str, ...]]:
    titles = {figure.figure: figure.title for figure in made.figures}
    for line in made.lines:
        yield (line.network, line.node or "", titles[line.figure], _number(line.value), line.unit,
               _number(line.least), _number(line.most), "yes" if line.beyond else "", line.sum)  # fmt: skip


def _number(value: float | None) -> str:
    """Return a number to six digits, as a table of other people's needs it; blank for none."""
    return "" if value is None else f"{value:.6g}"
