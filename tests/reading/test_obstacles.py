"""Obstacles between a node and its gateway: what the plan may say of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.plan import PlannedObstacle
from audit.reading.obstacles import as_text, of_text
from tests.refusing import assert_refused
from tests.small_site import GATEWAY, SmallSite, node, small_site

HEAP: dict[str, Any] = {"what": "spoil heap", "from_node_m": 300, "top_m": 12.5}
SLIPS = [
    pytest.param("from_node_m: 300", "from_node_m: 500", "500", "'spoil heap' is 500 m from the node, but "
                 "its gateway only 500 m", "on the way to the gateway", id="at the gateway"),
    pytest.param("from_node_m: 300", "from_node_m: 4100.5", "4100.5", "'spoil heap' is 4,100.5 m from",
                 "or correct the positions", id="beyond the gateway"),
    pytest.param("from_node_m: 300", "from_node_m: 0", "from_node_m: 0", "0 (in networks", "above 0",
                 id="at the node"),
    pytest.param("top_m: 12.5", "top_m: 12.5, wide_m: 3", "wide_m", "unknown key 'wide_m'", "top_m",
                 id="another key"),
]  # fmt: skip


def site_with_a_heap(folder: Path) -> SmallSite:
    """Return a site with a heap between its first node and the gateway, which are 500 m apart."""
    gateway = {**GATEWAY, "position": {"x_m": 0, "y_m": 0}}
    first = {**node(1), "position": {"x_m": 300, "y_m": 400}, "obstacles": [HEAP]}
    return small_site(folder, gateway=gateway, nodes=[first])


@pytest.mark.parametrize(("old", "new", "spot", "says", "mend"), SLIPS)
def test_a_slip_in_an_obstacle(tmp_path: Path, old: str, new: str, spot: str, says: str, mend: str) -> None:
    """It is reported on its line, with what was expected."""
    site = site_with_a_heap(tmp_path).replace(old, new)

    assert_refused(site, at=site.line(spot), says=says, mend=mend)


def test_an_obstacle_short_of_the_gateway(tmp_path: Path) -> None:
    """There is nothing wrong with it."""
    assert site_with_a_heap(tmp_path).check().code == 0


def test_an_obstacle_of_a_node_without_a_position(tmp_path: Path) -> None:
    """How far it may be is not known, so the plan is as good as it can be told."""
    site = site_with_a_heap(tmp_path).replace("from_node_m: 300", "from_node_m: 9000")
    without = site.replace("position: {x_m: 300, y_m: 400}", "location: at the weir")

    assert without.check().code == 0


def test_obstacles_are_what_they_were_as_text() -> None:
    """A column holds them between reading and pairing."""
    obstacles = (
        PlannedObstacle.model_validate(HEAP),
        PlannedObstacle(what='"A", 2; b', from_node_m=0.1, top_m=-3),
    )

    assert of_text(as_text(obstacles)) == obstacles
    assert (as_text(()), of_text("")) == ("", ())
