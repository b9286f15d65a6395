"""Folding of rows whose values slipped by a column."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes

NAMES = ("range_low", "range_high", "alarm_low", "alarm_high", "deadband")
PLANNED = dict(zip(NAMES, (0, 900, 100, 800, 10), strict=True))
SLIPPED = dict(zip(NAMES, (900, 100, 800, 10, ""), strict=True))


def test_a_cell_left_out_is_one_cause_with_what_follows(tmp_path: Path) -> None:
    """From range_low on, each cell holds the next one's value; the last is blank and still to be read."""
    rules = {f.rule for f in causes(tmp_path, planned=PLANNED, found=SLIPPED)}

    assert rules == {"columns-slipped", "setting-not-read"}


FIRES: list[Fires] = [
    fires("columns-slipped", "to the left", "range_low", "range_high", "alarm_low", "alarm_high", node="A",
          planned=PLANNED, found=SLIPPED, says="4 values are each planned for the setting to the right"),
    fires("columns-slipped", "to the right", "alarm_low", "alarm_high", "deadband", node="A", planned=PLANNED,
          found=PLANNED | {"alarm_low": 900, "alarm_high": 100, "deadband": 800},
          says="3 values are each planned for the setting to the left"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("columns-slipped", "two values", planned=PLANNED,
           found=PLANNED | {"alarm_low": 800, "alarm_high": 10}),
    silent("columns-slipped", "values of no neighbour", planned=PLANNED,
           found=PLANNED | {"alarm_low": 101, "alarm_high": 801, "deadband": 11}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
