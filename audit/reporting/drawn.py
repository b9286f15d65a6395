"""The parts of the map of a star network: marks, tags, a scale, and the room that they take."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from audit.model.detail import DeviceDetail
from audit.phrases import clean

ALL_TAGGED = 250
"""Up to so many nodes, every mark has its tag; with more, only those that are not as planned."""
LONGEST, SHORTEST = 14, 9
"""Most characters of a tag on the map, normally and on a crowded map; the mark's title has the whole tag."""
CHARACTER, BOLD, LINE = 6.2, 7.2, 12.5
"""Width of a character, of a bold one, and height of a line of tags, in units of the drawing."""
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
    """Its tag, or as much of it as there is room for."""
    x: float
    y: float


class Tag(NamedTuple):
    """A text beside a mark, with a line that leads to it if it is further away."""

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
    """Whether lines run from the gateway to its nodes; on a crowded map they would hide the marks."""
    untagged: int
    """Nodes whose tag should have been drawn but for which there was no room."""
    placed: int
    """Nodes drawn at their position; the others are on rings or on an oval."""
    scale: ScaleBar | None
    dense: bool


class Canvas(NamedTuple):
    """Where the marks go."""

    points: Sequence[Point]
    middle: Point
    size: float
    scale: ScaleBar | None


@dataclass(slots=True)
class Room:
    """The parts of the drawing that are taken: rectangles, found by the squares that they lie in."""

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


def short(tag: str, longest: int = LONGEST) -> str:
    """Return a tag cut to fit on the map: its end, since tags differ more often there than at their start."""
    shown = clean(tag)
    return shown if len(shown) <= longest else "…" + shown[1 - longest :]


def text_width(text: str, character: float = CHARACTER) -> float:
    """Return roughly how wide a text is when drawn."""
    return character * sum(2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)
