"""Problems in the input as the terminal shows them: what is wrong in many lines alike is told once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ..errors import Problem
from ..phrases import counted, examples, row_or_line

MOST_SHOWN = 50
MOST_RUNS = 12


def text(problems: Iterable[Problem]) -> str:
    """Return the first problems with their places and remedies, and how many there are beyond them."""
    groups: dict[Problem, list[Problem]] = {}
    for problem in problems:
        groups.setdefault(replace(problem, line=0), []).append(problem)
    alike = [*groups.values()]
    lines = [_told(*those) for those in alike[:MOST_SHOWN]]
    if more := sum(map(len, alike[MOST_SHOWN:])):
        lines.append(f"… and {counted(more, 'more problem')}")
    return "\n".join(lines)


def _told(first: Problem, *others: Problem) -> str:
    if not others:
        return str(first)
    lines = sorted({other.line for other in others})
    where = examples([*_runs(lines)], MOST_RUNS)
    return f"{first}\n    the same in {counted(len(lines), f'more {row_or_line(first.file)}')}: {where}"


def _runs(numbers: list[int]) -> Iterator[str]:
    """Yield ascending numbers, consecutive ones as their first and last."""
    start = end = numbers[0]
    for number in [*numbers[1:], 0]:
        if number != end + 1:
            yield f"{start} to {end}" if end > start + 1 else f"{start}, {end}" if end > start else f"{start}"
            start = number
        end = number
