"""Obstacles between a node and its gateway: as the text of a column, and those that cannot be there."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import suppress

from audit.engineering.positions import near_m
from audit.model.base import Position
from audit.model.plan import NodePlan, PlannedObstacle


def as_text(obstacles: tuple[PlannedObstacle, ...]) -> str:
    """Return the obstacles of a node as the text of a column, empty if there are none."""
    return json.dumps([one.model_dump() for one in obstacles]) if obstacles else ""


def of_text(text: str) -> tuple[PlannedObstacle, ...]:
    """Return the obstacles that `as_text` wrote."""
    return tuple(PlannedObstacle.model_validate(one) for one in json.loads(text)) if text else ()


def not_between(node: NodePlan, gateway: Position | None) -> Iterator[tuple[int, str]]:
    """Yield what is wrong with each obstacle that is not short of the gateway, and its number."""
    if node.position is None or gateway is None:
        return
    with suppress(ValueError):  # half a position, or one on the grid and one on the earth
        away_m = near_m(node.position, gateway)
        for k, one in enumerate(node.obstacles):
            if one.from_node_m >= away_m:
                there = f"{node.tag}: {one.what!r} is {one.from_node_m:,.10g} m from the node"
                yield k, f"{there}, but its gateway only {away_m:,.0f} m"
