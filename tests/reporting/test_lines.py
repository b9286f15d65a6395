"""Lines of text for a terminal: tables that fit."""

from __future__ import annotations

import pytest

from audit.reporting.lines import Lines, table


@pytest.mark.parametrize("cell", ["7.50", "1,250", "10,000", "-1,000", "1e5", "007", "True"])
def test_a_cell_is_printed_as_it_is(cell: str) -> None:
    """Even one that looks like a number: 1,250 has a decimal comma in half of the world."""
    assert table([["PT-1", cell]], ["node", "found"], 80).splitlines()[-1].split() == ["PT-1", cell]


def test_wide_cells_are_broken() -> None:
    """No line is wider than asked for, and nothing is lost."""
    text = table([["PT-1", "one two three four five six"]], ["node", "why"], 20)

    assert max(map(len, text.splitlines())) <= 20
    assert text.split()[4:] == ["PT-1", "one", "two", "three", "four", "five", "six"]


def test_a_command_stays_in_one_line() -> None:
    """Broken in two, it cannot be pasted, least of all within quotation marks."""
    command = 'asfound check "rim hut/plan.yaml" "rim hut/read back" --gate annual'
    lines = Lines(50, colour=False)
    lines.add(f"the same files give the same result with: {command}", whole=command)

    assert lines.text().splitlines() == ["the same files give the same result with:", command]
