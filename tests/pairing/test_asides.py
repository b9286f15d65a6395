"""Asides: rows of a sheet that are about no device."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

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


def test_a_serial_number_alone_is_a_device(tmp_path: Path) -> None:
    """Somebody has found a unit and written down which."""
    assert asides(tmp_path, [{"tag": None, "serial": "S10009"}]) == []


def test_a_name_with_a_network_is_a_device(tmp_path: Path) -> None:
    """Whoever writes down where it was has seen it."""
    assert asides(tmp_path, [{"tag": "X", "network": "North"}]) == []


def test_a_name_that_was_read_in_another_sheet_is_a_device(tmp_path: Path) -> None:
    """The sheet lists it, and another holds its readings."""
    assert asides(tmp_path, [{"tag": "X"}], [{"tag": "X", "channel": 3}]) == []


def test_a_list_of_names_has_no_asides(tmp_path: Path) -> None:
    """If nothing was read in any row, a row without readings is as good as the others."""
    assert asides(tmp_path, [], [{"tag": "X"}, {"tag": "Y"}]) == []
