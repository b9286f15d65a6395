"""Maps of star networks: every node once, nothing overlaps, tags where there is room."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.detail import DeviceDetail
from audit.reporting.drawing import draw
from audit.reporting.drawing_tags import spread
from audit.reporting.drawn import LINE, Drawing, short, text_width
from tests.reporting.detailed import detailed

SIZES = [1, 2, 6, 10, 11, 60, 150, 250, 251, 600, 1300]
"""Numbers round those at which the drawing changes; marks at more than 1,111 positions get smaller."""
MOST_ON_RINGS = 2000
"""Here marks would overlap that did not get smaller; at positions, so many would take seconds."""


def nodes(number: int, *, positions: bool = False, **more: float) -> list[DeviceDetail]:
    """Return the nodes of one network."""
    devices = detailed(number, positions=positions, **more).devices or []  # type: ignore[arg-type]
    return [device for device in devices if not device.gateway]


def at(places: list[tuple[float | None, float | None]]) -> list[DeviceDetail]:
    """Return nodes at these metres east and north of the gateway."""
    return [
        node.model_copy(update={"east_m": east, "north_m": north})
        for node, (east, north) in zip(nodes(len(places)), places, strict=True)
    ]


def nearest(drawing: Drawing) -> float:
    """Return the smallest distance between the middles of two marks."""
    marks = sorted(drawing.marks, key=lambda mark: mark.x)
    return min(
        (
            math.hypot(a.x - b.x, a.y - b.y)
            for i, a in enumerate(marks)
            for b in marks[i + 1 : i + 80]
            if b.x - a.x < 2 * drawing.size + 1
        ),
        default=math.inf,
    )


@pytest.mark.parametrize(
    ("number", "positions"), [*itertools.product(SIZES, [False, True]), (MOST_ON_RINGS, False)]
)
def test_every_node_has_its_own_place_on_the_map(number: int, positions: bool) -> None:
    """Each node has one mark inside the drawing, and no two marks overlap."""
    drawing = draw(nodes(number, positions=positions))

    assert len(drawing.marks) == number
    assert all(0 < mark.x < drawing.width and 0 < mark.y < drawing.height for mark in drawing.marks)
    assert nearest(drawing) >= 1.9 * drawing.size


@pytest.mark.parametrize("positions", [False, True], ids=["on rings", "at positions"])
@pytest.mark.parametrize("number", [6, 23, 60, 150])
def test_tags_cover_neither_tags_nor_marks(number: int, positions: bool) -> None:
    """Tags are readable: none overlaps another or a mark."""
    drawing = draw(nodes(number, positions=positions, faulty=0.2))
    halves = [text_width(tag.text) / 2 for tag in drawing.tags]

    for i, (tag, half) in enumerate(zip(drawing.tags, halves, strict=True)):
        for other, other_half in zip(drawing.tags[:i], halves, strict=False):
            assert abs(tag.x - other.x) >= half + other_half or abs(tag.y - other.y) >= LINE
        for mark in drawing.marks:
            assert abs(tag.x - mark.x) >= half or abs(tag.y - 3.5 - mark.y) >= LINE / 2


@pytest.mark.parametrize("number", [1, 6, 23, 60, 150])
def test_on_rings_every_node_has_its_tag(number: int) -> None:
    """Rings are as wide as the tags need."""
    drawing = draw(nodes(number))

    assert {tag.device.tag for tag in drawing.tags} == {mark.device.tag for mark in drawing.marks}
    assert drawing.untagged == 0


def test_a_crowd_has_tags_only_for_what_needs_looking_at() -> None:
    """Of 600 nodes, those that differ or were not read have tags in the margins, each led to its mark."""
    drawing = draw(nodes(600))

    assert drawing.dense
    assert {tag.device.tag for tag in drawing.tags} == {
        node.tag for node in nodes(600) if node.state != "as planned"
    }
    assert all(tag.leader for tag in drawing.tags)


def test_a_node_as_planned_has_its_tag_close_by_or_none() -> None:
    """Lines to tags further away are for what needs looking at."""
    crowd = at([(5.0 + n / 100, 5.0) for n in range(40)])
    calm = [node.model_copy(update={"state": "as planned"}) for node in crowd]

    assert draw(calm).tags
    assert not any(tag.leader for tag in draw(calm).tags)
    assert any(tag.leader for tag in draw(crowd).tags)


def test_tags_without_room_are_counted() -> None:
    """If more nodes differ than the margins have room for, the map says how many tags are missing."""
    drawing = draw(nodes(600, faulty=0.9))

    assert drawing.untagged == sum(node.state != "as planned" for node in nodes(600, faulty=0.9)) - len(
        drawing.tags
    )
    assert drawing.untagged > 0


def test_nodes_stand_where_they_are() -> None:
    """North is up, east is right, and twice as far is twice as far."""
    drawing = draw(at([(100, 0), (200, 0), (0, 150), (0, -150)]))
    east, far_east, north, south = [
        (mark.x - drawing.middle.x, mark.y - drawing.middle.y) for mark in drawing.marks
    ]

    assert far_east[0] == pytest.approx(2 * east[0], abs=0.2)
    assert east[1] == 0
    assert north == pytest.approx((0, -1.5 * east[0]), abs=0.2)
    assert south == pytest.approx((0, 1.5 * east[0]), abs=0.2)


def test_the_scale_bar_is_to_scale() -> None:
    """The scale bar says how many metres it is long, and is drawn that long."""
    drawing = draw(at([(100, 0), (-400, 0)]))
    metres = drawing.marks[0].x - drawing.middle.x

    assert drawing.scale is not None
    assert drawing.scale.text == "100 m"
    assert drawing.scale.length == pytest.approx(metres, abs=0.2)


def test_one_far_node_does_not_squeeze_the_rest() -> None:
    """A node ten times as far away as the others is at the edge, in its direction."""
    drawing = draw(at([*((100.0 * math.cos(k), 100.0 * math.sin(k)) for k in range(20)), (5000.0, 0.0)]))

    near, far = drawing.marks[:-1], drawing.marks[-1]
    assert max(abs(mark.x - drawing.middle.x) for mark in near) > 100
    assert far.x > max(mark.x for mark in near)
    assert far.y == drawing.middle.y


def test_nodes_without_a_position_stand_round_the_others() -> None:
    """A node whose position is not in the plan is on the map all the same."""
    drawing = draw(at([(100, 0), (-100, 50), (None, None), (None, 3)]))

    assert drawing.placed == 2
    assert len(drawing.marks) == 4


@pytest.mark.parametrize(
    "place", [(0.0, 0.0), (1e-9, 0.0), (1e12, -1e12), (math.inf, 0.0), (math.nan, 1.0)], ids=str
)
def test_odd_positions_are_drawn(place: tuple[float, float]) -> None:
    """Nodes at one spot, at the gateway or extremely far away are moved apart, not lost."""
    drawing = draw(at([place] * 30))

    assert len(drawing.marks) == 30
    assert nearest(drawing) >= 1.9 * drawing.size
    assert all(math.isfinite(mark.x) and math.isfinite(mark.y) for mark in drawing.marks)


def test_a_network_without_nodes_is_drawn() -> None:
    """A gateway alone makes a map too."""
    assert draw([]).marks == []


def test_tags_are_cut_at_the_front() -> None:
    """Tags mostly differ at their end."""
    assert short("PT-41") == "PT-41"
    assert short("NORTH-STATION-PT-41") == "…STATION-PT-41"
    assert len(short("T" * 300)) == 14


@given(
    st.lists(st.floats(-50, 300), max_size=12).map(sorted),
    st.floats(1, 30),
)
def test_spreading_keeps_order_and_distance(wanted: list[float], apart: float) -> None:
    """Texts on a line stay in order, and none comes nearer to the next than asked if there is room."""
    places = spread(wanted, apart, 0, 400)

    assert len(places) == len(wanted)
    assert all(b - a >= apart - 1e-6 for a, b in itertools.pairwise(places))
    assert all(place <= 400 for place in places)


def test_the_same_nodes_give_the_same_map() -> None:
    """Nothing is left to chance."""
    assert draw(nodes(60, positions=True)) == draw(nodes(60, positions=True))


def test_many_nodes_at_one_place_are_laid_round_it_at_once() -> None:
    """A position copied to every node takes no more time than other positions do."""
    drawing = draw(at([(5.0, 5.0)] * 3000))

    assert len(drawing.marks) == 3000
    assert nearest(drawing) >= 1.9 * drawing.size
