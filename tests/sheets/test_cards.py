"""Cards: how a value is written on paper, and how much fits on a page."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.device import DeviceType, Sensor, Setting
from audit.reporting import sheet_html
from audit.reporting.sheet_notes import CAUTIONS
from audit.sheets import paper
from audit.sheets.boxes import Answer, answer
from audit.sheets.cards import Card, cards, side_by_side
from audit.sheets.model import Book, Device, Sheet

SENSORS = {"main": Sensor(low=-50, high=200)}


def made(**keys: Any) -> Setting:
    """Return a setting."""
    return Setting(**{"name": "value", **keys})


def kind(*settings: Setting, **keys: Any) -> DeviceType:
    """Return a device type."""
    return DeviceType(asfound="device-type/1", name="node", settings=settings, **keys)


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ({"kind": "integer", "low": 1, "high": 40, "digits": 3}, Answer(whole=3)),
        ({"kind": "integer", "low": 1, "high": 247}, Answer(whole=3)),
        ({"kind": "integer", "low": -20, "high": 5}, Answer(sign=True, whole=2)),
        ({"kind": "integer"}, Answer(whole=5)),
        ({"kind": "decimal", "step": 0.01, "low": 0, "high": 12}, Answer(whole=2, places=2)),
        ({"kind": "decimal", "step": 0.01, "low": 0, "digits": 4}, Answer(whole=2, places=2)),
        ({"kind": "decimal", "step": 0.1}, Answer(sign=True, whole=4, places=1)),
        ({"kind": "decimal", "step": 0.1, "role": "deadband"}, Answer(whole=4, places=1)),
        ({"kind": "decimal", "step": 5}, Answer(sign=True, whole=4)),
        ({"kind": "decimal", "step": 0.1, "input": "none"}, Answer(sign=True, whole=5, places=1)),
        ({"kind": "text", "digits": 4}, Answer(whole=4)),
        ({"kind": "text", "digits": 30}, Answer()),
        ({"kind": "text"}, Answer()),
        ({"kind": "flag"}, Answer(ticks=("on", "off"))),
        ({"kind": "option", "options": ("a", "b")}, Answer(ticks=("a", "b"))),
        ({"kind": "option", "options": tuple(map(str, range(40)))}, Answer()),
        ({"kind": "integer", "low": 0, "high": 1e15}, Answer()),
    ],
)
def test_answers(keys: dict[str, Any], expected: Answer) -> None:
    """By the display's width, else the limits, else the sensor and one more; else a line to write on."""
    assert answer(made(**keys), kind(sensors=SENSORS)) == expected


TEXT = st.text("abcdefgh XYZ0123456789-/>", min_size=0, max_size=40)
KEYS = st.one_of(
    st.fixed_dictionaries({"kind": st.just("integer"), "digits": st.none() | st.integers(1, 20)}),
    st.fixed_dictionaries(
        {"kind": st.just("option"), "options": st.lists(TEXT, min_size=1, max_size=30).map(tuple)}
    ),
    st.fixed_dictionaries({"kind": st.just("text"), "digits": st.none() | st.integers(1, 40)}),
    st.fixed_dictionaries({"kind": st.just("flag")}),
)


def all_cards(settings: list[Setting], tag: str = "N-1") -> list[Card]:
    """Return the cards of one device."""
    device = Device(tag, "Somewhere", kind(*settings))
    sheet = Sheet("Main", [("Main", device)], [])
    return list(cards(Book("Site", "A", [sheet], sheet, with_plan=False), ["Write what it shows."]))


SETTINGS = st.lists(st.tuples(KEYS, TEXT, TEXT, TEXT), max_size=60).map(
    lambda given: [
        made(**(keys | {"name": f"s{n}", "label": f"{n} {label}", "where": where, "unit": unit}))
        for n, (keys, label, where, unit) in enumerate(given)
    ]
)


@given(SETTINGS)
def test_every_setting_is_on_a_card_once_and_in_order(settings: list[Setting]) -> None:
    """Long cards have several parts; nothing is left out, and no part is taller than a page."""
    parts = all_cards(settings)

    assert [q.label for part in parts for q in part.questions] == [one.label for one in settings]
    assert [part.part for part in parts] == list(range(1, len(parts) + 1))
    for part in parts:
        heights = [max(question.height for question in row) for row in side_by_side(part.questions)]
        assert len(heights) == 1 or sum(heights) < paper.ROOM - paper.FOOT


def test_a_long_device_has_parts() -> None:
    """What is asked last, and what is read elsewhere, is on the last part."""
    refused = made(name="refused", kind="option", options=("yes", "no", "not tried"), role="default_refused")
    heard = made(name="heard", kind="integer", read_at="gateway")
    parts = all_cards([made(name=f"s{n}", kind="integer") for n in range(60)] + [refused, heard])

    assert len(parts) == 3
    assert [part.refused is not None for part in parts] == [False, False, True]
    assert [list(part.elsewhere) for part in parts] == [[], [], ["at the gateway: heard"]]


def test_each_card_says_how_to_fill_it_in_and_what_to_beware_of() -> None:
    """At its foot, since cards are handed out one by one."""
    sheet = Sheet("Main", [("Main", Device("N-1", "Somewhere", kind(made(kind="integer"))))], [])
    page = sheet_html.render(Book("Site", "A", [sheet], sheet, with_plan=False))

    (foot,) = re.findall("<footer>(.*)</footer>", page)
    assert unescape(foot) == " ".join([*sheet_html.HOW, *CAUTIONS])


def test_what_is_read_elsewhere_is_told_and_not_asked() -> None:
    """A device's card asks for what can be read there, and says what is missing and where to read it."""
    (card,) = all_cards(
        [made(name="heard", kind="integer", read_at="gateway"), made(name="ch", kind="integer")]
    )

    assert [question.label for question in card.questions] == ["ch"]
    assert card.elsewhere == ["at the gateway: heard"]
