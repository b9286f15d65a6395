"""Where the tags of a map go: beside their marks, or in the margins of a crowded map."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from audit.reporting.drawn import BOLD, GATEWAY, LINE, Canvas, Mark, Point, Room, Tag, text_width

SIGNS = {"differs": "≠", "with a finding": "×", "not read": "?", "partly read": "(?)", "waived": "(≠)",
         "as planned": ""}  # fmt: skip
"""State of a device → the sign before its tag, in the order in which readers look for them."""


def _worth(marks: Iterable[Mark]) -> list[Mark]:
    """Return marks in the order in which they get their tags: what differs, what was not read, the rest."""
    order = [*SIGNS]
    return sorted(marks, key=lambda mark: order.index(mark.device.state))


def beside(marks: Sequence[Mark], canvas: Canvas) -> tuple[list[Tag], int]:
    """Return the tags beside their marks, as far as there is room, and how many there should be in all."""
    middle, size = canvas.middle, canvas.size
    taken = Room(24)
    taken.keep(*middle, *GATEWAY)
    for mark in marks:
        taken.keep(mark.x, mark.y, size, size)
    tags = []
    for mark in _worth(marks):
        sign = SIGNS[mark.device.state]
        half = (text_width(f"{sign} {mark.text}", BOLD) if sign else text_width(mark.text)) / 2
        for x, y in _candidates(mark, size, half):
            inside = half <= x <= 2 * middle.x - half and LINE / 2 <= y <= 2 * middle.y - LINE / 2
            if inside and taken.free(x, y, half, LINE / 2):
                taken.keep(x, y, half, LINE / 2)
                tags.append(_tag(mark, Point(x, y), size))
                break
    return tags, len(marks)


def _candidates(mark: Mark, size: float, half: float) -> Iterator[Point]:
    """Yield places for a tag: below, above, right, left; and further away if it must not be missing."""
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


def in_margins(marks: Sequence[Mark], canvas: Canvas) -> tuple[list[Tag], int]:
    """Return the tags in the margins, of nodes not as planned, and how many there should be in all."""
    wanted = [mark for mark in _worth(marks) if mark.device.state != "as planned"]
    middle = canvas.middle
    most = int((2 * middle.y - 10) // (LINE + 1))
    tags: list[Tag] = []
    for side in (-1, 1):
        here = [mark for mark in wanted if (mark.x < middle.x) == (side < 0)][:most]
        tags.extend(_column(sorted(here, key=lambda mark: (mark.y, mark.x)), middle, side))
    return tags, len(wanted)


def _column(marks: Sequence[Mark], middle: Point, side: int) -> Iterator[Tag]:
    """Yield the tags of one margin, each as near to the height of its mark as there is room for."""
    edge = middle.x + side * (middle.x - 118)
    heights = spread([mark.y for mark in marks], LINE + 1, 8, 2 * middle.y - 8)
    for mark, y in zip(marks, heights, strict=True):
        leader = f"M{mark.x:.1f} {mark.y:.1f}L{edge:.1f} {y:.1f}H{edge + side * 8:.1f}"
        anchor: Literal["start", "end"] = "start" if side > 0 else "end"
        yield Tag(mark.device, mark.text, round(edge + side * 12, 1), round(y + 3.5, 1), anchor, leader)


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Return rising places near the wanted ones, `apart` from each other and between two ends if they fit."""
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + apart if places else low))
    for i in range(len(places) - 1, -1, -1):
        ceiling = high if i == len(places) - 1 else places[i + 1] - apart
        places[i] = min(places[i], ceiling)
    return places
