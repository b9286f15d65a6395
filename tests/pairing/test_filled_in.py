"""Filled in: what counts as a readback of a device."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from audit.model.site import Block
from audit.pairing.filled_in import only_read
from audit.run import audited
from tests.site_builder import Row, SiteOf

PLANNED = [{"serial": "S1", "channel": 7, "joined_gateway": "GW-North"},
           {"serial": "S2", "channel": 7, "joined_gateway": "GW-North"}]  # fmt: skip
LISTED = [{"tag": tag, "joined_gateway": "GW-North", "last_heard": 60} for tag in "AB"]
READ = {"tag": "A", "serial": "S1", "channel": 7}


def nodes(folder: Path, found: Mapping[str, Sequence[Row]]) -> Block:
    """Return how the nodes of a site count after a readback."""
    site = audited(SiteOf(planned=PLANNED, found=found).write(folder)).site
    (block,) = [block for block in only_read(site).blocks if not block.gateway]
    return block


def test_a_node_that_is_only_heard_was_not_read(tmp_path: Path) -> None:
    """A gateway's list says who is heard, not how anything is set; the place of its row stays known."""
    block = nodes(tmp_path, {"found.csv": [READ], "list.csv": LISTED})

    assert [len(rows) for rows in block.rows] == [2, 0]
    assert sorted(block.listed) == [1]


def test_a_row_with_names_alone_is_no_readback(tmp_path: Path) -> None:
    """A sheet that nobody has filled in still names every device."""
    block = nodes(tmp_path, {"found.csv": [READ, {"tag": "B", "serial": "S2", "channel": None}]})

    assert [len(rows) for rows in block.rows] == [1, 0]


def test_a_row_with_another_serial_number_was_filled_in(tmp_path: Path) -> None:
    """Somebody was there and has read at least the label."""
    block = nodes(tmp_path, {"found.csv": [READ, {"tag": "B", "serial": "S9", "channel": None}]})

    assert [len(rows) for rows in block.rows] == [1, 1]
