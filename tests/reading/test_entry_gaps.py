"""Readings that the numbers of entries show to be missing, as the list of inputs tells it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.entry_lines import as_lines, at, entry, skipped
from tests.small_site import small_site

FIRST = entry("N-1", "high_alarm", "870", read_at=at(1), reading=1)
SECOND = entry("N-1", "high_alarm", "780", read_at=at(2), reading=2)
THIRD = entry("N-1", "high_alarm", "780", read_at=at(3), reading=3)
OTHER = entry("N-2", "high_alarm", "780", read_at=at(3), reading=1)


def notes(folder: Path, *files: list[dict[str, Any]]) -> list[str]:
    """Return what the list of inputs notes of files of entries."""
    site = small_site(folder)
    site.readbacks.extend(site.write(f"{n}.jsonl", as_lines(*one)) for n, one in enumerate(files, 1))
    return [one["note"] for one in site.result()["inputs"] if one["note"]]


@pytest.mark.parametrize(
    ("entries", "missing"),
    [
        pytest.param([SECOND, OTHER], "N-1 high_alarm (1 of 2)", id="the first reading was taken out"),
        pytest.param([FIRST, THIRD], "N-1 high_alarm (1 of 3)", id="one in the middle"),
        pytest.param([THIRD], "N-1 high_alarm (2 of 3)", id="all but the last"),
        pytest.param([{**SECOND, "reading": 10**9}], "N-1 high_alarm (999,999,999 of 1,000,000,000)",
                     id="a number that nobody counts to"),
        pytest.param([skipped("N-1", "high_alarm", "frozen", reading=2), OTHER], "N-1 high_alarm (1 of 1)",
                     id="one that was withdrawn"),
    ],
)  # fmt: skip
def test_a_reading_that_was_taken_out_leaves_a_gap(
    tmp_path: Path, entries: list[dict[str, Any]], missing: str
) -> None:
    """It may have been a typing error or a value that did not suit: the report says that it is not there."""
    assert notes(tmp_path, entries) == [f"readings missing by their numbers: {missing}"]


@pytest.mark.parametrize(
    "files",
    [
        pytest.param([[FIRST, SECOND, THIRD, OTHER]], id="all readings"),
        pytest.param([[FIRST], [SECOND]], id="divided among files"),
        pytest.param([[SECOND], [FIRST]], id="divided among files, the later one first"),
        pytest.param([[FIRST, SECOND], [FIRST]], id="two people's files, each numbered by itself"),
        pytest.param([[FIRST, skipped("N-1", "high_alarm", reading=2), SECOND]], id="skipped in between"),
        pytest.param([[skipped("N-1", "high_alarm", reading=1), OTHER]], id="skipped from the first"),
        pytest.param([[FIRST, entry("N-1", "high_alarm", "780", read_at=at(9))]],
                     id="numbers that were not kept"),
    ],
)  # fmt: skip
def test_readings_that_are_all_there_are_not_told(tmp_path: Path, files: list[list[dict[str, Any]]]) -> None:
    """However they are divided, and whoever entered them."""
    assert notes(tmp_path, *files) == []
