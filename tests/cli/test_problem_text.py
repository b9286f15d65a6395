"""Problems on the terminal: each with its place, and told once if many lines have the same."""

from __future__ import annotations

import pytest

from audit.cli import problem_text
from audit.errors import Problem


def _problem(line: int, message: str = "the row has 5 cells", file: str = "found.csv") -> Problem:
    return Problem(message, "quote them", file=file, line=line)


@pytest.mark.parametrize(
    ("lines", "where"),
    [
        ([2, 3], "1 more row: 3"),
        ([2, 3, 4], "2 more rows: 3, 4"),
        ([2, 3, 4, 5], "3 more rows: 3 to 5"),
        ([2, 9, 4, 7, 5, 6, 12], "6 more rows: 4 to 7, 9, 12"),
        ([2, *range(4, 40, 2)], "18 more rows: 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26 …"),
    ],
)
def test_what_is_wrong_in_many_rows_alike_is_told_once(lines: list[int], where: str) -> None:
    """With its first place, and the rows that have the same: to mend them needs no page of one line."""
    told = problem_text.text(map(_problem, lines))

    assert told == f"found.csv:2: the row has 5 cells\n    fix: quote them\n    the same in {where}"


def test_what_differs_is_told_by_itself() -> None:
    """Another message, another file: each is a line of its own, in the order in which they were found."""
    others = [_problem(4, "the row has 6 cells"), _problem(2, file="plan.yaml"), _problem(5)]
    told = problem_text.text([_problem(3), *others])

    assert [line for line in told.splitlines() if "fix:" not in line] == [
        "found.csv:3: the row has 5 cells",
        "    the same in 1 more row: 5",
        "found.csv:4: the row has 6 cells",
        "plan.yaml:2: the row has 5 cells",
    ]


def test_problems_beyond_the_most_are_counted_with_all_their_rows() -> None:
    """Fifty are told; what is counted are problems, not groups of them."""
    problems = [_problem(line, f"{line % 60} is no number") for line in range(120)]

    assert problem_text.text(problems).endswith("\n… and 20 more problems")
