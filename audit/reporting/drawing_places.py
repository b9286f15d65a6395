"""Where the marks of a map go: on rings round the gateway, or to scale if positions are known."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import accumulate, count, product

from audit.model.detail import DeviceDetail
from audit.reporting.drawn import (
    ALL_TAGGED,
    CHARACTER,
    GATEWAY,
    Canvas,
    Point,
    Room,
    ScaleBar,
    short,
    text_width,
)

MANY, LINKED = 60, 27
"""A map to scale is wider for more nodes than the first; rings have lines to the gateway up to the second."""


def ringed(nodes: Sequence[DeviceDetail], longest: int, dense: bool) -> Canvas:
    """Return places on rings round the middle, the innermost first, each clockwise from the top."""
    number = len(nodes)
    hole = 0.16 * math.sqrt(number) if dense else 0.0
    radii = _radii(number, hole)
    if dense:
        reach, margin, size = Point(250, 250), Point(130, 16), min(5.0, 0.32 * 250 / radii[-1])
    else:
        reach = Point(max(reach_x(nodes, longest), 250), max(radii[-1] * 27, 130))
        margin, size = Point(_widest(nodes, longest) / 2 + 10, 30), 6.0
    middle = Point(round(reach.x + margin.x, 1), round(reach.y + margin.y, 1))
    unit = Point(reach.x / radii[-1], reach.y / radii[-1])
    points = [Point(middle.x + x * unit.x, middle.y + y * unit.y) for x, y in _on_rings(number, radii)]
    return Canvas(points, middle, size, None)


def _radii(number: int, hole: float = 0.0) -> list[float]:
    """Return the radii of rings that hold so many places, which are about one unit apart."""
    radii = [max(2.0, hole)]
    while sum(map(_capacity, radii)) < number:
        radii.append(radii[-1] + 1.15)
    return radii


def _capacity(radius: float) -> int:
    return math.floor(2 * math.pi * radius / 1.15)


def _on_rings(number: int, radii: Sequence[float]) -> Iterator[Point]:
    """Yield the places on rings, all of them filled equally."""
    held = list(accumulate(map(_capacity, radii)))
    ends = [round(number * upto / held[-1]) for upto in held]
    for k, (radius, first, end) in enumerate(zip(radii, [0, *ends], ends, strict=False)):
        for i in range(end - first):
            turn = 2 * math.pi * (i + k % 2 / 2) / (end - first)
            yield Point(radius * math.sin(turn), -radius * math.cos(turn))


def _widest(nodes: Sequence[DeviceDetail], longest: int) -> float:
    """Return the width of the widest tag, with the sign before it."""
    return max((text_width(short(node.tag, longest)) for node in nodes), default=0.0) + 2 * CHARACTER


def reach_x(nodes: Sequence[DeviceDetail], longest: int) -> float:
    """Return how far rings extend to the left and right if every tag is beside its mark."""
    return _radii(min(len(nodes), 2 * ALL_TAGGED))[-1] * (_widest(nodes, longest) + 4)


def position(node: DeviceDetail) -> Point | None:
    """Return metres east and south of the gateway, or None if they are not known."""
    east, north = node.east_m, node.north_m
    if east is None or north is None or not (math.isfinite(east) and math.isfinite(north)):
        return None
    return Point(east, -north)


def scaled(places: Sequence[Point | None], dense: bool) -> Canvas:
    """Return places to scale. Nodes without a position are placed round them, distant ones at the edge."""
    known = [place for place in places if place]
    limit = _limit([math.hypot(*place) for place in known])
    near = [place for place in known if math.hypot(*place) <= limit]
    far = Point(*(max(map(abs, side)) or 1.0 for side in zip(*near, strict=True)))
    room = Point(250, 250) if dense else Point(270 if len(places) <= MANY else 360, 270)
    scale = min(room.x / far.x, room.y / far.y)
    reach = Point(room.x, round(max(far.y * scale, 120), 1))
    margin = Point(130, 30) if dense else Point(90, 34)
    middle = Point(round(reach.x + margin.x, 1), round(reach.y + margin.y, 1))
    lost = iter(_round_it(places.count(None), reach, middle))
    size = 6.0 if not dense else min(4.5, 0.3 * math.sqrt(4 * reach.x * reach.y / len(places)))
    wanted = [next(lost) if place is None else _to_scale(place, scale, reach, middle) for place in places]
    return Canvas(_apart(wanted, middle, size), middle, size, _scale_bar(scale, reach.x))


def _limit(distances: Sequence[float]) -> float:
    """Return the distance up to which nodes are drawn to scale: a few far ones must not squeeze the rest."""
    nine_tenths = sorted(distances)[round(0.9 * (len(distances) - 1))]
    furthest = max(distances)
    return furthest if furthest <= 3 * nine_tenths or not nine_tenths else 1.5 * nine_tenths


def _to_scale(place: Point, scale: float, reach: Point, middle: Point) -> Point:
    """Return where a position is drawn; one beyond the edge is drawn at the edge, in its direction."""
    x, y = place.x * scale, place.y * scale
    beyond = max(abs(x) / (reach.x + 20), abs(y) / (reach.y + 20), 1.0)
    return Point(middle.x + x / beyond, middle.y + y / beyond)


def _round_it(number: int, reach: Point, middle: Point) -> Iterator[Point]:
    """Yield places on an ellipse round everything that is drawn to scale."""
    for i in range(number):
        turn = 2 * math.pi * (i + 0.5) / number
        yield Point(middle.x + (reach.x + 14) * math.sin(turn), middle.y - (reach.y + 14) * math.cos(turn))


def _apart(wanted: Sequence[Point], middle: Point, size: float) -> list[Point]:
    """Return the places, moved as little as needed so that no mark covers another or the gateway."""
    step = 2 * size + 1.5
    side = step / 4
    taken = Room(step)
    taken.keep(middle.x, middle.y, GATEWAY[0] + size, GATEWAY[1] + size)
    full: set[tuple[float, float]] = set()  # small squares next to marks: asked first, since that is quicker
    rings: list[list[Point]] = []
    placed = []
    # Nodes at one place share a spiral, which is continued.
    spirals: dict[Point, Iterator[tuple[float, float]]] = {}
    for point in wanted:
        spiral = spirals.setdefault(point, _spiral(point, step / 2, rings))
        free = next(
            Point(x, y)
            for x, y in spiral
            if (x // side, y // side) not in full and taken.free(x, y, step / 2, step / 2)
        )
        taken.keep(free.x, free.y, step / 2 - 0.01, step / 2 - 0.01)
        full.update(_squares_within(free, step - 0.02, side))
        placed.append(free)
    return placed


def _squares_within(point: Point, reach: float, side: float) -> Iterator[tuple[int, int]]:
    """Yield the squares all of whose places are within reach."""
    columns, rows = (range(math.ceil((at - reach) / side), math.floor((at + reach) / side)) for at in point)
    return product(columns, rows)


def _spiral(point: Point, step: float, rings: list[list[Point]]) -> Iterator[tuple[float, float]]:
    """Yield a place, then those round it, further and further away. All spirals share the rings."""
    yield point
    for ring in count(1):
        if ring > len(rings):
            turns = [2 * math.pi * i / (8 * ring) for i in range(8 * ring)]
            rings.append(
                [Point(ring * step * math.sin(turn), ring * step * math.cos(turn)) for turn in turns]
            )
        for east, north in rings[ring - 1]:
            yield point.x + east, point.y - north


def _scale_bar(scale: float, room: float) -> ScaleBar:
    """Return a bar of a round length, at most a third of half the map."""
    power = 10.0 ** math.floor(math.log10(room / 3 / scale))
    metres = max(m for m in (power, 2 * power, 5 * power) if m * scale <= room / 3 or m == power)
    text = f"{metres / 1000:g} km" if metres >= 1000 else f"{metres:g} m"
    return ScaleBar(metres * scale, text)
