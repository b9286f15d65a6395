"""Planning: what the plan says of each device, from the node, its network, the defaults and its type."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from audit.model.base import Position
from audit.model.plan import PlannedObstacle
from audit.model.site import Block
from audit.run import audited
from tests.site_builder import SiteOf


def nodes(folder: Path, **site: Any) -> Block:
    """Return the nodes of a plan."""
    blocks = audited(SiteOf(**site).write(folder)).site.blocks
    (block,) = [block for block in blocks if not block.gateway]
    return block


def test_a_node_takes_what_it_does_not_say_from_the_nearest_that_does(tmp_path: Path) -> None:
    """Its own value first, then its network's default, then the site's; radio from its gateway."""
    networks = {"South": {"defaults": {"range_high": 300}}, "North": {}}
    planned = [{"range_high": 500, "deadband": None}, {"network": "South"}, {}]
    block = nodes(tmp_path, planned=planned, networks=networks, gateway={"channel": 7},
                  plan={"defaults": {"range_high": 200, "deadband": 4}})  # fmt: skip

    shown = {
        tag: [block.value("planned", name, i).shown for name in ("range_high", "deadband", "channel")]
        for i, tag in enumerate(block.tags)
    }
    assert shown == {
        "A": ["500 kPa g", "4 kPa g", "7"],
        "B": ["300 kPa g", "4 kPa g", "7"],
        "C": ["200 kPa g", "4 kPa g", "7"],
    }


def test_a_dash_plans_nothing_in_spite_of_a_default(tmp_path: Path) -> None:
    """A device without such an alarm must not get the default's."""
    block = nodes(tmp_path, planned=[{"deadband": "-"}, {}], plan={"defaults": {"deadband": 4}})

    assert [block.value("planned", "deadband", i).shown for i in (0, 1)] == ["", "4 kPa g"]


def test_duties_come_with_their_node(tmp_path: Path) -> None:
    """A sample always visits a node with a duty, so each node must have its own duties."""
    block = nodes(tmp_path, planned=[{"duties": "safety"}, {}])

    assert list(block.duties) == ["safety", ""]


def test_a_height_alone_is_no_position(tmp_path: Path) -> None:
    """The height of an antenna comes with the place where it is; without one there is no way to go."""
    block = nodes(tmp_path, planned=[{"x_m": 5, "y_m": 6, "height_m": 7.5}, {"height_m": 4}, {}])

    assert list(block.positions) == [Position(x_m=5, y_m=6, height_m=7.5), None, None]


def test_obstacles_come_with_their_node(tmp_path: Path) -> None:
    """A node of a table has none, and neither has a neighbour in the plan."""
    ridge = {"what": "ridge", "from_node_m": 40, "top_m": 9}
    inline = [{"tag": "B"}, {"tag": "C", "obstacles": [ridge]}]
    block = nodes(tmp_path, planned=[{}], networks={"North": {"nodes": inline}})

    assert dict(zip(block.tags, block.obstacles, strict=True)) == {
        "A": (), "B": (), "C": (PlannedObstacle.model_validate(ridge),)
    }  # fmt: skip
