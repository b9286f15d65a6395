"""Readings: values that vary by nature, but not in a copy."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.copied.rounds import READER, by, copied, nodes, signs

INSTALLED = nodes(5, channel=7, installed_on="2026-04-02")
LEVELS = ["3.1", "4.7", "2.2", "8.5", "5.0"]


def test_one_reading_on_all_nodes_is_a_weak_sign(tmp_path: Path) -> None:
    """Five gauges that all show 4.7 may be in one room; read before they were mounted, they are reported."""
    same = by(READER, [0, 9, 17, 28, 34], reading="4.7")

    assert copied(tmp_path / "alone", same) == []
    assert "on all 5 nodes, though it varies from node to node" in signs(tmp_path / "two", same, INSTALLED)


def test_two_readings_on_different_numbers_of_nodes(tmp_path: Path) -> None:
    """Each is told with the nodes on which it was read."""
    same = by(READER, [0, 9, 17, 28, 34, 40], reading=[*["4.7"] * 5, ""], check_reading="4.6")
    told = signs(tmp_path, same, nodes(6, channel=7, installed_on="2026-04-02"))

    assert "reading is 4.7 on all 5 nodes and check_reading is 4.6 on all 6 nodes" in told
    assert "though they vary from node to node" in told


@pytest.mark.parametrize(
    "readings", ["0.0", ["4.7", "4.7", "4.7", "4.7", "4.8"], ["4.7"] * 4 + [""]], ids=str
)
def test_other_readings_are_no_sign(readings: object, tmp_path: Path) -> None:
    """Zeros are common, one other reading is enough, and four are too few."""
    assert copied(tmp_path, by(READER, [0, 9, 17, 28, 34], reading=readings), INSTALLED) == []


def test_the_readings_of_another_day_are_a_strong_sign(tmp_path: Path) -> None:
    """Last year's sheet with a new date has last year's readings to the last digit."""
    now = by(READER, [0, 9, 17, 28, 34], reading=LEVELS)
    then = [row | {"read_at": "2025-04-02T11:00", "read_by": "B. Other"} for row in now]

    message = signs(tmp_path, {"new.csv": now, "old.csv": then})

    assert message == (
        "what R. Sample read on 5 nodes shows a sign of copying: on 5 nodes every value that varies, such as "
        "reading, is exactly that of 2025-04-02"
    )


@pytest.mark.parametrize(
    ("name", "now"),
    [("one other", ["3.1", "4.7", "2.2", "8.5", "5.1"]), ("three nodes", ["3.1", "4.7", "2.2", "", ""]),
     ("two different", ["3.1", "3.1", "3.1", "8.5", "3.1"])],
    ids=str,
)  # fmt: skip
def test_some_readings_of_another_day_are_no_sign(name: str, now: list[str], tmp_path: Path) -> None:
    """Still water shows the same level for years; one value that moved shows that somebody looked."""
    found = by(READER, [0, 9, 17, 28, 34], reading=now)
    then = [row | {"read_at": "2025-04-02T11:00", "reading": old}
            for row, old in zip(found, LEVELS if name != "two different" else now, strict=True)]  # fmt: skip

    assert copied(tmp_path, {"new.csv": found, "old.csv": then}) == []


def test_a_day_without_hyphens_is_one_day(tmp_path: Path) -> None:
    """Before and after ten o'clock, as a program writes it: 20260401T0950 and 20260401T1010."""
    early = [row | {"read_at": "20260401T0950"} for row in by(READER, [0] * 5, reading=LEVELS)]
    late = [row | {"read_at": "20260401T1010"} for row in early]

    assert copied(tmp_path, {"new.csv": late, "old.csv": early}) == []


def test_two_files_of_one_day_are_one_visit(tmp_path: Path) -> None:
    """A sheet that was handed in twice is no reading of another day."""
    rows = by(READER, [0, 9, 17, 28, 34], reading=LEVELS)

    assert copied(tmp_path, {"one.csv": rows, "two.csv": rows}) == []
