"""Positions: half a position is none."""

from __future__ import annotations

from pathlib import Path

from tests.refusing import assert_refused
from tests.small_site import small_site


def test_a_coordinate_without_the_other_in_the_plan(tmp_path: Path) -> None:
    """It is reported where it is written, not skipped as if none had been given."""
    site = small_site(tmp_path).replace("tag: N-1\n", "tag: N-1\n    position: {x_m: 800}\n")

    assert_refused(site, at=site.at("800"), says="N-1: a position has x_m but no y_m", mend="give y_m")


def test_coordinates_without_the_others_in_a_node_table(tmp_path: Path) -> None:
    """One correction is for all of them, so it is one problem; a row without any position is not one."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag,latitude,longitude\nN-1,51.1,7.0\nN-2,,7.0\nN-3,,\nN-4,,7.2\n")

    assert_refused(site, at="nodes.csv:3:C", says="N-2, N-4: a position has longitude but no latitude",
                   mend="give latitude")  # fmt: skip
