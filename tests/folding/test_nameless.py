"""Readings in rows that name no device, folded with the readings that are missing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes

PLANNED: list[dict[str, Any]] = [
    {"tag": tag, "channel": 7, "range_high": high} for tag, high in (("A", 100), ("B", 200), ("C", 300))
]
TWO_ROWS: list[dict[str, Any]] = [
    row for one in PLANNED
    for row in ({"tag": one["tag"], "channel": 7}, {"tag": None, "range_high": one["range_high"]})
]  # fmt: skip
NOBODY: dict[str, Any] = {"node": None, "network": "North"}


def test_a_sheet_with_the_tag_in_the_first_of_two_rows_is_one_cause(tmp_path: Path) -> None:
    """The readings of the second rows are missing at every device, and no device is a stranger."""
    (cause,) = causes(tmp_path, planned=PLANNED, found=TWO_ROWS)

    assert cause.rule == "readings-without-device"
    assert cause.message.endswith(
        "found.csv, the first being row 3, name no device and hold what was not read on 3 devices: range_high"
    )
    assert len(cause.dependents) == 4


FIRES: list[Fires] = [
    fires("readings-without-device", "two rows a device", **NOBODY, planned=PLANNED, found=TWO_ROWS,
          says="3 rows of", at=[("found.csv", 3, "A")]),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("readings-without-device", "nothing of the kind is missing", planned=PLANNED,
           found=[*PLANNED, {"tag": None, "range_high": 100}, {"tag": None, "range_high": 200}]),
    silent("readings-without-device", "missing in another file", planned=PLANNED,
           found={"a.csv": [{"tag": one["tag"], "channel": 7} for one in PLANNED],
                  "b.csv": [{"tag": None, "range_high": 100}, {"tag": None, "range_high": 200}]}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the file."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Rows that name no device are reported alone where nothing shows that they are the missing ones."""
    case.check(tmp_path)
