"""Drawing: where the marks and tags of a star network go on its map. Layout only; nothing is judged."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.detail import DeviceDetail
from audit.reporting.drawing_places import LINKED, position, reach_x, ringed, scaled
from audit.reporting.drawing_tags import beside, in_margins
from audit.reporting.drawn import ALL_TAGGED, LONGEST, SHORTEST, Drawing, Mark, short

WIDEST = 920
"""Greatest width of a map with all tags, in units; on a wider one they would be too small when printed."""


def draw(nodes: Sequence[DeviceDetail]) -> Drawing:
    """Return the map of a network's nodes, its gateway in the middle."""
    longest = LONGEST if 2 * reach_x(nodes, LONGEST) <= WIDEST else SHORTEST
    dense = len(nodes) > ALL_TAGGED or 2 * reach_x(nodes, longest) > WIDEST
    places = [position(node) for node in nodes]
    canvas = scaled(places, dense) if any(places) else ringed(nodes, longest, dense)
    marks = [
        Mark(node, short(node.tag, longest), round(p.x, 1), round(p.y, 1))
        for node, p in zip(nodes, canvas.points, strict=True)
    ]
    tags, wanted = in_margins(marks, canvas) if dense else beside(marks, canvas)
    return Drawing(
        width=round(2 * canvas.middle.x),
        height=round(2 * canvas.middle.y),
        size=round(canvas.size, 1),
        middle=canvas.middle,
        marks=marks,
        tags=tags,
        links=not dense and (canvas.scale is not None or len(nodes) <= LINKED),
        untagged=wanted - len(tags),
        placed=len(places) - places.count(None),
        scale=canvas.scale,
        dense=dense,
    )
