"""Asides: rows of a sheet that are about no device."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from audit.run import audited
from tests.site_builder import Row, SiteOf

DEVICES = [{"tag": "A", "serial": "S10001", "channel": 1}, {"tag": "B", "serial": "S10002", "channel": 2}]


def asides(folder: Path, more: Sequence[Row], other: Sequence[Row] = ()) -> list[tuple[str, int]]:
    """Return file and row of each aside among more rows of a sheet, and another sheet beside it."""
    found = {"found.csv": [*DEVICES, *more], **({"other.csv": other} if other else {})}
    site = audited(SiteOf(planned=DEVICES, found=found).write(folder)).site
    return [(Path(table.file).name, table.rows[entry]) for table, entry in site.asides]


def test_a_total_and_a_signature_are_asides(tmp_path: Path) -> None:
    """Nobody is sent to look for a device called Total."""
    more = [{"tag": "Total 2 nodes"}, {"tag": "Signed: R. Sample"}]

    assert asides(tmp_path, more) == [("found.csv", 4), ("found.csv", 5)]


@pytest.mark.parametrize(
    "more",
    [
        pytest.param([[{"tag": None, "serial": "S10009"}]], id="somebody wrote down which unit was found"),
        pytest.param([[{"tag": "X", "network": "North"}]], id="whoever writes down where it was has seen it"),
        pytest.param([[{"tag": "X"}], [{"tag": "X", "channel": 3}]], id="another sheet has its readings"),
        pytest.param([[], [{"tag": "X"}, {"tag": "Y"}]], id="no row of the list has readings"),
    ],
)
def test_a_row_without_readings_may_be_a_device(more: Sequence[Sequence[Row]], tmp_path: Path) -> None:
    """A unit that nobody planned is not passed over like a total or a signature."""
    assert asides(tmp_path, *more) == []
