"""Engineering figures as text: a table for each network, then what was not worked out, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from audit.grouping import grouped
from audit.model.figure_list import FigureGap, FigureLine, FigureList, FigureTitle
from audit.phrases import counted, titled
from audit.reporting.lines import Lines, table

SIDES = {"planned": "as planned", "found": "as found; beside what was read, the values of the plan count"}
BEYOND = "!"
"""Marks a figure outside its limits; `check` says why it matters and what to do."""
Titles = Mapping[str, FigureTitle]
"""Figure → what it is called, in the order of the list."""


def render(made: FigureList, width: int = 80, colour: bool = False, sums: bool = False) -> str:
    """Return the figures as text of the given width; with `sums` one below the other, each with its sum."""
    lines = Lines(width, colour)
    titles = {figure.figure: figure for figure in made.figures}
    lines.add(f"FIGURES  {titled(made.site.name, made.site.plan_revision)}", "head")
    lines.add(SIDES[made.side])
    if not made.lines:
        lines.add("nothing could be worked out; below is what each figure needs")
    for network, its in grouped((line.network, line) for line in made.lines).items():
        lines.head(f"NETWORK {network}")
        (_sums if sums else _network)(lines, titles, its)
    if any(line.beyond for line in made.lines):
        lines.add()
        lines.add(f"{BEYOND} outside its limits: `asfound check` says why that matters, and what to do")
    _gaps(lines, titles, made.gaps)
    lines.cautions(made.cautions)
    return lines.text()


def _network(lines: Lines, titles: Titles, its: Sequence[FigureLine]) -> None:
    """Add the figures of a network one below the other, then a table of those of its devices."""
    for line in its:
        if line.node is None:
            lines.add(_in_full(line, titles), "bad" if line.beyond else "", indent=2, hang=4)
    of_device = [line for line in its if line.node is not None]
    there = {line.figure for line in of_device}
    shown = [figure for name, figure in titles.items() if name in there]
    if not shown:
        return
    cells = {(line.node, line.figure): _cell(line) for line in of_device}
    nodes = dict.fromkeys(line.node or "" for line in of_device)
    columns = [["node", *nodes]]
    columns += [[f.title, *(cells.get((node, f.figure), "") for node in nodes)] for f in shown]
    for part in _side_by_side(columns, lines.width - 2):
        heads, *rows = zip(*part, strict=True)
        lines.add()
        lines.block(table(rows, heads, lines.width - 2), 2)
    for figure in shown:
        if limit := _one_limit(line for line in of_device if line.figure == figure.figure):
            lines.add(f"{figure.title}: {limit}", indent=2, hang=4)


def _side_by_side(columns: list[list[str]], width: int) -> Iterator[list[list[str]]]:
    """Yield columns that fit beside the first without breaking a value, or a word of a heading."""
    first, *others = columns
    widths = [max(map(len, [*heading.split(), *cells])) + len("  ") for heading, *cells in columns]
    part, used = [first], widths[0]
    for column, wide in zip(others, widths[1:], strict=True):
        if part[1:] and used + wide > width:
            yield part
            part, used = [first], widths[0]
        part.append(column)
        used += wide
    yield part


def _cell(line: FigureLine) -> str:
    return f"{_mark(line)}{line.shown}"


def _mark(line: FigureLine) -> str:
    return f"{BEYOND} " if line.beyond else ""


def _one_limit(its: Iterable[FigureLine]) -> str:
    """Return the limit of a figure in words, if it is the same for all devices; else how to see them."""
    limits = {_limit(line) for line in its}
    return limits.pop() if len(limits) == 1 else "limits differ; --only shows them"


def _limit(line: FigureLine) -> str:
    least = None if line.least is None else f"at least {line.least:,.6g}"
    most = None if line.most is None else f"at most {line.most:,.6g}"
    words = " and ".join(filter(None, (least, most)))
    return f"{words} {line.unit}" if words else ""


def _in_full(line: FigureLine, titles: Titles) -> str:
    """Return a figure with its limit and its sum."""
    limit = f", {_limit(line)}" if _limit(line) else ""
    total = f": {line.sum}" if line.sum else ""
    return f"{_mark(line)}{titles[line.figure].title} {line.shown}{limit}{total}"


def _sums(lines: Lines, titles: Titles, its: Sequence[FigureLine]) -> None:
    """Add every figure of a network and its devices with its sum."""
    for node, of_one in grouped((line.node, line) for line in its).items():
        lines.add(node or "the whole network", "head", indent=2)
        for line in of_one:
            lines.add(_in_full(line, titles), "bad" if line.beyond else "", indent=4, hang=2)


def _gaps(lines: Lines, titles: Titles, gaps: Sequence[FigureGap]) -> None:
    if gaps:
        lines.head("NOT WORKED OUT")
    for gap in gaps:
        figure = titles[gap.figure]
        of = counted(gap.number, "network" if figure.of_network else "device")
        lines.add(f"{figure.title}: needs {gap.needs}, for {of}", indent=2, hang=4)
