"""Drawing: where the marks and tags of a star network go on its map. Layout only; nothing is judged."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from typing import Literal, NamedTuple

from audit.model.result import DeviceDetail
from audit.reporting.lines import clean

ALL_TAGGED = 250
"""Nodes up to which every mark has its tag; beyond, only those that are not as planned."""
WIDEST = 920
"""Units of a map with all tags: wider, and the tags would be too small on a printed page."""
LONGEST, SHORTEST = 14, 9
"""Characters of a tag on the map, and in a crowd; the whole tag is in the mark's title."""
CHARACTER, BOLD, LINE = 6.2, 7.2, 12.5
"""Width of a character, of a bold one, and height of a line of tags, in units of the drawing."""
MANY, LINKED = 60, 27
"""Nodes from which a map to scale is wider, and up to which rings have lines to the gateway."""
SIGNS = {"differs": "≠", "not read": "?", "partly read": "(?)", "waived": "(≠)", "as planned": ""}
"""State of a device → the sign before its tag; those that a reader looks for first come first."""
GATEWAY = (34.0, 13.0)
"""Half the width and height kept free for the gateway."""


class Point(NamedTuple):
    """A place on the drawing; y grows downwards."""

    x: float
    y: float


class Mark(NamedTuple):
    """A node on the map."""

    device: DeviceDetail
    text: str
    """Its tag, as much of it as has room."""
    x: float
    y: float


class Tag(NamedTuple):
    """A text beside a mark, and the line that leads to it where it stands apart."""

    device: DeviceDetail
    text: str
    x: float
    y: float
    anchor: Literal["start", "middle", "end"]
    leader: str


class ScaleBar(NamedTuple):
    """A length on the map."""

    length: float
    text: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A map, ready to be written."""

    width: float
    height: float
    size: float
    """Half the size of a mark."""
    middle: Point
    marks: Sequence[Mark]
    tags: Sequence[Tag]
    links: bool
    """Whether lines run from the gateway to its nodes; in a crowd they would hide the marks."""
    untagged: int
    """Nodes whose tag would have had to be drawn, and found no room."""
    placed: int
    """Nodes at their position; the others are on rings."""
    scale: ScaleBar | None
    dense: bool


def draw(nodes: Sequence[DeviceDetail]) -> Drawing:
    """Return the map of a network's nodes, its gateway in the middle."""
    longest = LONGEST if 2 * _reach_x(nodes, LONGEST) <= WIDEST else SHORTEST
    dense = len(nodes) > ALL_TAGGED or 2 * _reach_x(nodes, longest) > WIDEST
    places = [_position(node) for node in nodes]
    canvas = _scaled(places, dense) if any(places) else _ringed(nodes, longest, dense)
    marks = [
        Mark(node, short(node.tag, longest), round(p.x, 1), round(p.y, 1))
        for node, p in zip(nodes, canvas.points, strict=True)
    ]
    tags, wanted = _in_margins(marks, canvas) if dense else _beside(marks, canvas)
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


class Canvas(NamedTuple):
    """Where the marks go."""

    points: Sequence[Point]
    middle: Point
    size: float
    scale: ScaleBar | None


def short(tag: str, longest: int = LONGEST) -> str:
    """Return a tag as it fits on the map: its end, which tells tags apart more often than their start."""
    shown = clean(tag)
    return shown if len(shown) <= longest else "…" + shown[1 - longest :]


def text_width(text: str, character: float = CHARACTER) -> float:
    """Return roughly how wide a text is drawn."""
    return character * sum(2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


# Rings


def _ringed(nodes: Sequence[DeviceDetail], longest: int, dense: bool) -> Canvas:
    """Return places on rings round the middle, the innermost first, each from the top clockwise."""
    number = len(nodes)
    hole = 0.16 * math.sqrt(number) if dense else 0.0
    radii = _radii(number, hole)
    if dense:
        reach, margin, size = Point(250, 250), Point(130, 16), min(5.0, 0.32 * 250 / radii[-1])
    else:
        reach = Point(max(_reach_x(nodes, longest), 250), max(radii[-1] * 27, 130))
        margin, size = Point(_widest(nodes, longest) / 2 + 10, 30), 6.0
    middle = Point(round(reach.x + margin.x, 1), round(reach.y + margin.y, 1))
    unit = Point(reach.x / radii[-1], reach.y / radii[-1])
    points = [Point(middle.x + x * unit.x, middle.y + y * unit.y) for x, y in _on_rings(number, radii)]
    return Canvas(points, middle, size, None)


def _radii(number: int, hole: float = 0.0) -> list[float]:
    """Return the radii of rings that hold so many places, about one apart."""
    radii = [max(2.0, hole)]
    while sum(map(_capacity, radii)) < number:
        radii.append(radii[-1] + 1.15)
    return radii


def _capacity(radius: float) -> int:
    return math.floor(2 * math.pi * radius / 1.15)


def _on_rings(number: int, radii: Sequence[float]) -> Iterator[Point]:
    """Yield the places on rings, all rings filled alike."""
    held = list(accumulate(map(_capacity, radii)))
    ends = [round(number * upto / held[-1]) for upto in held]
    for k, (radius, first, end) in enumerate(zip(radii, [0, *ends], ends, strict=False)):
        for i in range(end - first):
            turn = 2 * math.pi * (i + k % 2 / 2) / (end - first)
            yield Point(radius * math.sin(turn), -radius * math.cos(turn))


def _widest(nodes: Sequence[DeviceDetail], longest: int) -> float:
    """Return the width of the widest tag, with the sign before it."""
    return max((text_width(short(node.tag, longest)) for node in nodes), default=0.0) + 2 * CHARACTER


def _reach_x(nodes: Sequence[DeviceDetail], longest: int) -> float:
    """Return how far rings go left and right if every tag stands beside its mark."""
    return _radii(min(len(nodes), 2 * ALL_TAGGED))[-1] * (_widest(nodes, longest) + 4)


# Positions


def _position(node: DeviceDetail) -> Point | None:
    """Return metres east and south of the gateway, or None where they are not known."""
    east, north = node.east_m, node.north_m
    if east is None or north is None or not (math.isfinite(east) and math.isfinite(north)):
        return None
    return Point(east, -north)


def _scaled(places: Sequence[Point | None], dense: bool) -> Canvas:
    """Return places to scale. Nodes without a position stand round them, far-off ones at the edge."""
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
    taken = Room(step)
    taken.keep(middle.x, middle.y, GATEWAY[0] + size, GATEWAY[1] + size)
    placed = []
    spirals: dict[Point, Iterator[Point]] = {}  # of many at one place each goes on where the last one ended
    for point in wanted:
        spiral = spirals.setdefault(point, _spiral(point, step / 2))
        free = next(p for p in spiral if taken.free(p.x, p.y, step / 2, step / 2))
        taken.keep(free.x, free.y, step / 2 - 0.01, step / 2 - 0.01)
        placed.append(free)
    return placed


def _spiral(point: Point, step: float) -> Iterator[Point]:
    """Yield a place, then those round it, further and further away."""
    yield point
    ring = 1
    while True:
        for i in range(8 * ring):
            turn = 2 * math.pi * i / (8 * ring)
            yield Point(point.x + ring * step * math.sin(turn), point.y - ring * step * math.cos(turn))
        ring += 1


def _scale_bar(scale: float, room: float) -> ScaleBar:
    """Return a bar of a round length, at most a third of half the map."""
    power = 10.0 ** math.floor(math.log10(room / 3 / scale))
    metres = max(m for m in (power, 2 * power, 5 * power) if m * scale <= room / 3 or m == power)
    text = f"{metres / 1000:g} km" if metres >= 1000 else f"{metres:g} m"
    return ScaleBar(metres * scale, text)


# Tags


@dataclass(slots=True)
class Room:
    """What of the drawing is taken: rectangles, found by the squares that they lie in."""

    square: float
    rectangles: dict[tuple[int, int], list[tuple[float, float, float, float]]] = field(default_factory=dict)

    def keep(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Take a rectangle."""
        rectangle = (x, y, half_width, half_height)
        for square in self._squares(*rectangle):
            self.rectangles.setdefault(square, []).append(rectangle)

    def free(self, x: float, y: float, half_width: float, half_height: float) -> bool:
        """Tell whether a rectangle overlaps nothing that is taken."""
        return not any(
            abs(x - a) < half_width + w and abs(y - b) < half_height + h
            for square in self._squares(x, y, half_width, half_height)
            for a, b, w, h in self.rectangles.get(square, ())
        )

    def _squares(self, x: float, y: float, w: float, h: float) -> Iterator[tuple[int, int]]:
        for column in range(int((x - w) // self.square), int((x + w) // self.square) + 1):
            for row in range(int((y - h) // self.square), int((y + h) // self.square) + 1):
                yield column, row


def _worth(marks: Iterable[Mark]) -> list[Mark]:
    """Return marks in the order in which they get their tags: what differs, what was not read, the rest."""
    order = [*SIGNS]
    return sorted(marks, key=lambda mark: order.index(mark.device.state))


def _beside(marks: Sequence[Mark], canvas: Canvas) -> tuple[list[Tag], int]:
    """Return the tags beside their marks, as far as there is room, and how many there should be."""
    middle, size = canvas.middle, canvas.size
    taken = Room(24)
    taken.keep(*middle, *GATEWAY)
    for mark in marks:
        taken.keep(mark.x, mark.y, size, size)
    tags = []
    for mark in _worth(marks):
        planned = mark.device.state == "as planned"
        half = (
            text_width(mark.text) / 2
            if planned
            else text_width(f"{SIGNS[mark.device.state]} {mark.text}", BOLD) / 2
        )
        for x, y in _candidates(mark, size, half):
            inside = half <= x <= 2 * middle.x - half and LINE / 2 <= y <= 2 * middle.y - LINE / 2
            if inside and taken.free(x, y, half, LINE / 2):
                taken.keep(x, y, half, LINE / 2)
                tags.append(_tag(mark, Point(x, y), size))
                break
    return tags, len(marks)


def _candidates(mark: Mark, size: float, half: float) -> Iterator[Point]:
    """Yield places for a tag: below, above, right, left; and further off where it must not be missing."""
    down, along = 1.3 * size + LINE / 2, 1.3 * size + half + 2
    for x, y in ((0.0, down), (0.0, -down), (along, 0.0), (-along, 0.0)):
        yield Point(mark.x + x, mark.y + y)
    for x in (along * 0.7, -along * 0.7):
        for y in (down * 0.8, -down * 0.8):
            yield Point(mark.x + x, mark.y + y)
    for distance in range(24, 140, 8) if mark.device.state != "as planned" else ():
        for turn in range(16):
            angle = 2 * math.pi * turn / 16
            yield Point(
                mark.x + (distance + half) * math.sin(angle), mark.y - (distance + 6) * math.cos(angle)
            )


def _tag(mark: Mark, at: Point, size: float) -> Tag:
    apart = math.hypot(at.x - mark.x, at.y - mark.y)
    touches = abs(at.y - mark.y) <= 1.3 * size + LINE or apart <= size + text_width(mark.text)
    leader = "" if touches else f"M{mark.x:.1f} {mark.y:.1f}L{at.x:.1f} {at.y:.1f}"
    return Tag(mark.device, mark.text, round(at.x, 1), round(at.y + 3.5, 1), "middle", leader)


def _in_margins(marks: Sequence[Mark], canvas: Canvas) -> tuple[list[Tag], int]:
    """Return the tags of marks of nodes that are not as planned, left and right of the crowd."""
    wanted = [mark for mark in _worth(marks) if mark.device.state != "as planned"]
    middle = canvas.middle
    most = int((2 * middle.y - 10) // (LINE + 1))
    tags: list[Tag] = []
    for side in (-1, 1):
        here = [mark for mark in wanted if (mark.x < middle.x) == (side < 0)][:most]
        tags.extend(_column(sorted(here, key=lambda mark: (mark.y, mark.x)), middle, side))
    return tags, len(wanted)


def _column(marks: Sequence[Mark], middle: Point, side: int) -> Iterator[Tag]:
    """Yield the tags of one margin, each as near to the height of its mark as there is room."""
    edge = middle.x + side * (middle.x - 118)
    heights = spread([mark.y for mark in marks], LINE + 1, 8, 2 * middle.y - 8)
    for mark, y in zip(marks, heights, strict=True):
        leader = f"M{mark.x:.1f} {mark.y:.1f}L{edge:.1f} {y:.1f}H{edge + side * 8:.1f}"
        anchor: Literal["start", "end"] = "start" if side > 0 else "end"
        yield Tag(mark.device, mark.text, round(edge + side * 12, 1), round(y + 3.5, 1), anchor, leader)


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Return rising places near the wanted ones, that far apart and between two ends as far as they fit."""
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + apart if places else low))
    for i in range(len(places) - 1, -1, -1):
        ceiling = high if i == len(places) - 1 else places[i + 1] - apart
        places[i] = min(places[i], ceiling)
    return places
