"""Alarm strips: planned and found on one scale, with everything that is drawn also given in words."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.detail import DeviceDetail, SettingDetail
from audit.reporting.strips import LEFT, RIGHT, WORDS_LEFT, Strip, strips
from tests.reporting.detailed import SETTINGS, detailed, setting

PLAN = {
    "range_low": "0",
    "range_high": "1000",
    "low_alarm": "280",
    "high_alarm": "780",
    "deadband": "15",
}
"""A pressure node of the demo site (invented)."""


def device(found: dict[str, str | None], plan: dict[str, str] = PLAN) -> DeviceDetail:
    """Return a node with this plan, found as planned but for some settings."""
    blank = (detailed(1).devices or [])[1]
    return blank.model_copy(
        update={"settings": [setting(name, plan[name], found.get(name, plan[name])) for name in plan]}
    )


def strip(**found: str | None) -> Strip:
    """Return the strip of a node that was found like this."""
    (only,) = strips(device(found))
    return only


def positions(one: Strip, side: int) -> list[tuple[str, float]]:
    """Return text and place of the setpoints of a side."""
    return [(pointer.text, pointer.x) for pointer in one.lanes[side].pointers]


def test_both_sides_have_one_scale() -> None:
    """What was found as planned points at the same place from below."""
    planned, found = strip().lanes

    assert [p.x for p in planned.pointers] == [p.x for p in found.pointers]
    assert planned.range == found.range
    assert planned.deadbands == found.deadbands


def test_places_are_in_proportion() -> None:
    """A setpoint at 28 % of the range is at 28 % of the bar."""
    lane = strip().lanes[0]

    assert lane.range is not None
    assert lane.pointers[0].x == pytest.approx(lane.range.x + 0.28 * lane.range.width, abs=0.2)


def in_percent(one: DeviceDetail) -> DeviceDetail:
    """Return a node whose high alarm and deadband are percentages of its range."""
    settings = [
        s.model_copy(update={"unit": "%", "planned": (s.planned or "").replace("kPa", "%")})
        if s.role in ("alarm_high", "deadband")
        else s
        for s in one.settings
    ]
    return one.model_copy(update={"settings": settings})


@pytest.mark.parametrize("read", [True, False], ids=["range read", "range as planned"])
def test_a_percentage_of_the_range_is_drawn_in_the_range(read: bool) -> None:
    """78 % of 200 to 1200 kPa points where 980 kPa would, and 2 % of it is a deadband of 20 kPa."""
    plan = PLAN | {"range_low": "200", "range_high": "1200"}
    found = {} if read else dict.fromkeys(("range_low", "range_high"))
    (kilopascals,) = strips(device(found, plan | {"high_alarm": "980", "deadband": "20"}))
    (percent,) = strips(in_percent(device(found, plan | {"high_alarm": "78", "deadband": "2"})))

    for one, other in zip(kilopascals.lanes, percent.lanes, strict=True):
        assert [pointer.x for pointer in one.pointers] == [pointer.x for pointer in other.pointers]
        assert one.deadbands == other.deadbands


def test_a_percentage_of_a_range_that_is_not_known_is_not_drawn() -> None:
    """It has no place on a scale in kPa; the words have it."""
    (one,) = strips(in_percent(device({}, {"range_low": "0", "low_alarm": "280", "high_alarm": "78"})))

    assert [text for text, _ in positions(one, 0)] == ["L 280"]
    assert "H planned 78 %" in one.alternative


@pytest.mark.parametrize("plan", [{"high_alarm": "78"}, {"range_low": None, "high_alarm": "78"}],
                         ids=["no range", "range not known"])  # fmt: skip
def test_where_there_is_nothing_but_percentages_they_have_a_scale_of_their_own(plan: dict[str, str]) -> None:
    """There is nothing that they could be mistaken for."""
    (one,) = strips(in_percent(device({}, plan)))

    assert [text.removesuffix(" %") for text, _ in positions(one, 0)] == ["H 78"]


def test_what_differs_is_told_by_sign_place_and_words() -> None:
    """A low alarm at 381 instead of 280 is at another place, with its value, and in the words below."""
    one = strip(low_alarm="381")

    assert positions(one, 1)[0][0] == "≠ L 381"
    assert positions(one, 1)[0][1] > positions(one, 0)[0][1]
    assert one.unlike == ["≠ L 381 kPa, planned 280 kPa"]
    assert one.lanes[1].pointers[0].differs


def test_the_deadband_lies_inwards() -> None:
    """A high alarm clears below its setpoint, a low one above it.

    OPC 10000-9 (OPC UA Alarms and Conditions), 5.8.2 and B.1.5, deadband of limit alarms; seen in an excerpt.
    """
    lane = strip(deadband="100").lanes[1]
    low, high = lane.pointers

    assert lane.deadbands[0].x == low.x
    assert lane.deadbands[1].x + lane.deadbands[1].width == pytest.approx(high.x, abs=0.2)


def test_another_range_is_seen_and_told() -> None:
    """A range of 0 to 232 (psi) instead of 0 to 1000 has a shorter bar, and its numbers have the sign."""
    one = strip(range_high="232")
    planned, found = one.lanes

    assert planned.range is not None
    assert found.range is not None
    assert found.range.width < planned.range.width / 4
    assert found.words[0] == "≠ 0 to 232 kPa"


def test_a_setpoint_far_beyond_the_range_stays_on_the_scale() -> None:
    """A lost comma makes 7800 of 780: the scale grows, and nothing leaves the drawing."""
    one = strip(high_alarm="7800")

    assert all(LEFT <= x <= RIGHT for side in (0, 1) for _, x in positions(one, side))
    assert positions(one, 1)[1][1] > positions(one, 0)[1][1]


def test_what_was_not_read_is_told() -> None:
    """A setpoint without a reading has no mark on the found side, and words say so."""
    one = strip(low_alarm=None)

    assert [text for text, _ in positions(one, 1)] == ["H"]
    assert one.unlike == ["? L not read, planned 280 kPa"]


def test_a_node_that_was_not_read_says_so() -> None:
    """The found side of a node without any reading is empty."""
    one = strip(**dict.fromkeys(PLAN))

    assert one.lanes[1].words == ["not read"]
    assert one.lanes[1].pointers == []


def test_the_alternative_tells_everything() -> None:
    """Someone who cannot see the strip can read range, setpoints and deadband, planned and found."""
    words = strip(high_alarm="78").alternative

    assert words == (
        "LRV planned 0 kPa, found 0 kPa; URV planned 1000 kPa, found 1000 kPa; "
        "L planned 280 kPa, found 280 kPa; H planned 780 kPa, found 78 kPa; "
        "deadband planned 15 kPa, found 15 kPa"
    )


def test_each_input_has_its_own_strip() -> None:
    """A device with two measuring inputs has two strips, with the inputs' names."""
    two = [one.model_copy(update={"input": "B"}) for one in device({}).settings]
    both = device({}).model_copy(update={"settings": [*device({}).settings, *two]})

    assert [one.input for one in strips(both)] == ["", "B"]


def test_a_device_without_alarms_has_no_strip() -> None:
    """A range alone is no alarm."""
    plan = {name: PLAN[name] for name in ("range_low", "range_high")}

    assert list(strips(device({}, plan))) == []


@pytest.mark.parametrize("number", [math.inf, -math.inf, math.nan, 1e308, -1e308, 5e-324], ids=str)
def test_numbers_beyond_measure_break_nothing(number: float) -> None:
    """A reading that is not a usable number is given in words and leaves the drawing intact."""
    odd = setting("low_alarm", "280", "281").model_copy(update={"found_number": number})
    settings = [odd if one.name == "low_alarm" else one for one in device({}).settings]

    (one,) = strips(device({}).model_copy(update={"settings": settings}))
    assert all(math.isfinite(x) and LEFT <= x <= RIGHT for side in (0, 1) for _, x in positions(one, side))


@given(st.lists(st.none() | st.integers(-2000, 2000).map(str), min_size=8, max_size=8))
def test_texts_never_cover_each_other(values: list[str | None]) -> None:
    """Whatever was found, the texts of a side's setpoints do not overlap each other or the words."""
    names = ["low_low_alarm", "low_alarm", "high_alarm", "high_high_alarm"]
    settings: list[SettingDetail] = [
        setting(name, planned, found)
        for name, planned, found in zip(names, values[:4], values[4:], strict=True)
    ]

    for one in strips(device({}).model_copy(update={"settings": settings})):
        for lane in one.lanes:
            for a, b in itertools.pairwise(lane.pointers):
                assert b.text_x - a.text_x >= 6 * max(len(a.text), len(b.text))
            assert all(p.text_x + 3 * len(p.text) < WORDS_LEFT for p in lane.pointers)


def test_the_roles_of_the_demo_settings_are_drawn() -> None:
    """All four setpoints have their place."""
    plan = {name: SETTINGS[name][2] for name in (*PLAN, "low_low_alarm", "high_high_alarm")}
    (one,) = strips(device({}, plan))

    assert [text for text, _ in positions(one, 0)] == ["LL 140", "L 280", "H 780", "HH 900"]


def test_a_converted_value_stands_in_the_unit_of_the_strip() -> None:
    """A value read in another unit is shown converted; the words below have both."""
    odd = setting("high_alarm", "780", "810").model_copy(update={"found": "0.81 MPa = 810 kPa"})
    settings = [odd if one.name == "high_alarm" else one for one in device({}).settings]
    (one,) = strips(device({}).model_copy(update={"settings": settings}))

    assert "≠ H 810" in [text for text, _ in positions(one, 1)]
    assert one.unlike == ["≠ H 0.81 MPa = 810 kPa, planned 780 kPa"]
