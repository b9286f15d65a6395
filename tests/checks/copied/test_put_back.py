"""Put back: an old sheet with a new date, and honest visits that look like one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.copied.rounds import READER, by, copied, nodes, signs

MINUTES = [0, 9, 17, 28, 34]
PLANNED = nodes(5, channel=7, alarm_high=800, loss_action="low")


def visit(name: str, day: str, **columns: Any) -> dict[str, list[dict[str, Any]]]:
    """Return a file with the rows of one day."""
    reader = READER if name == "new.csv" else "B. Other"
    rows = by(reader, MINUTES, **({"alarm_high": 80, "loss_action": "low"} | columns))
    return {name: [row | {"read_at": day + row["read_at"][10:]} for row in rows]}


OLD = visit("old.csv", "2026-03-30")
MENDED = visit("mended.csv", "2026-03-31", alarm_high=800, loss_action=["low", "hold", "low", "low", "low"])
NEW = visit("new.csv", "2026-04-01")


def test_an_old_sheet_with_a_new_date_is_a_strong_sign(tmp_path: Path) -> None:
    """All limits were corrected; now the old ones count again, and hide that B holds its last value."""
    message = signs(tmp_path, {**NEW, **OLD, **MENDED}, PLANNED)

    assert message == (
        f"what R. Sample read on 5 nodes shows a sign of copying: 5 nodes show exactly what "
        f"{(tmp_path / 'old.csv').as_posix()} has for 2026-03-30, and 5 of them were read differently in "
        "between, such as A alarm_high: 80 kPa g, 800 kPa g, 80 kPa g; what was read in between no longer "
        "counts, such as B loss_action hold"
    )


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("nothing was read in between", {**NEW, **OLD}),
        ("one node is another than then", {
            **visit("new.csv", "2026-04-01", alarm_high=[80, 80, 80, 80, 90]), **OLD, **MENDED}),
        ("as planned before and after, misread in between", {
            **visit("new.csv", "2026-04-01", alarm_high=800),
            **visit("old.csv", "2026-03-30", alarm_high=800),
            **visit("mended.csv", "2026-03-31", alarm_high=8000)}),
        ("as wrong in between", {**NEW, **OLD, **visit("mended.csv", "2026-03-31", alarm_high="80.0")}),
    ],
)  # fmt: skip
def test_honest_visits_are_no_sign(name: str, found: dict[str, Any], tmp_path: Path) -> None:
    """Who reads what another read before them does so for many reasons."""
    assert copied(tmp_path, found, PLANNED) == []
