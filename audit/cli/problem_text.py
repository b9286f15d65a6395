"""Problems in the input as the terminal shows them: what is wrong in many lines alike is told once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from audit.errors import Problem
from audit.grouping import grouped, runs_of
from audit.phrases import counted, examples, row_or_line

MOST_SHOWN = 50
MOST_RUNS = 12


def text(problems: Iterable[Problem]) -> str:
    """Return the first problems with their places and remedies, and how many there are beyond them."""
    alike = [*grouped((replace(problem, line=0), problem) for problem in problems).values()]
    lines = [_told(*those) for those in alike[:MOST_SHOWN]]
    if more := sum(map(len, alike[MOST_SHOWN:])):
        lines.append(f"… and {counted(more, 'more problem')}")
    return "\n".join(lines)


def _told(first: Problem, *others: Problem) -> str:
    if not others:
        return str(first)
    lines = sorted({other.line for other in others})
    where = examples([_span(*run) for run in runs_of(lines)], MOST_RUNS)
    return f"{first}\n    the same in {counted(len(lines), f'more {row_or_line(first.file)}')}: {where}"


def _span(first: int, last: int) -> str:
    between = " to " if last > first + 1 else ", "
    return f"{first}{between}{last}" if last > first else f"{first}"
