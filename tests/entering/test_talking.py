"""The dialogue: what is asked in which order, what answers lead to, and what the file then holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.entering.talks import AS_PLANNED, ORDER, Talk
from tests.small_site import NAME


def test_settings_are_asked_in_the_order_of_the_display(talk: Talk) -> None:
    """First the serial number, then the display from top to bottom, then what is read elsewhere; no code."""
    shown = talk.answer("N-1", *AS_PLANNED)

    assert [name for _, name, _ in talk.typed()] == list(ORDER)
    assert not any("access_code" in line or "CODE" in line for line in shown)
    assert "N-1 is done: 7 settings." in shown


def test_the_place_to_look_is_named(talk: Talk) -> None:
    """Each question says where to find the setting, and what it takes."""
    shown = talk.answer("N-1", *AS_PLANNED)

    assert "N-1  2 of 7  channel (RADIO > CH): 1 to 40" in shown
    assert "N-1  4 of 7  range_high (IN > URV): 0 to 1600 kPa, steps of 0.5" in shown
    assert "N-1  5 of 7  unit (at the display): one of: kPa, bar, back" in shown
    assert "N-1  7 of 7  joined_gateway (at the gateway): as it is shown" in shown


def test_an_entry_says_who_when_where_and_how(talk: Talk) -> None:
    """A line of the file has everything that evidence needs."""
    talk.answer("N-1", "100001", "17")

    assert talk.lines()[1] == {
        "asfound": "entry/1", "site": NAME, "plan_revision": "A", "network": "Main", "tag": "N-1",
        "setting": "channel", "value": "17", "unit": "", "read_at": "2026-03-31T12:00:02.000+00:00",
        "read_by": "R. Sample", "read_how": "at the display", "reading": 1,
    }  # fmt: skip
    assert talk.lines()[0]["read_how"] == "on the label"


# Blind


def test_the_plan_is_never_shown(talk: Talk) -> None:
    """Whatever is typed, right or wrong, no planned value appears that was not typed."""
    wrong = ("100009", "", "18", "18", "0Q7A", "0Q7B", "", "813.5", "", "bar", "", "off", "", "GW-2", "")

    shown = "\n".join(talk.answer("N-1", *wrong, "N-2", "/list", "/help", "/back", "/node N-3"))

    for planned in ("100001", "100002", "0Q7Z", "812.5", "GW-1  "):
        assert planned not in shown
    assert "17" not in shown.replace("1 to 40", "")
    assert "18 differs from the plan." in shown


def test_completion_offers_what_can_be_set_and_not_what_is_planned(talk: Talk) -> None:
    """Options in the order of the display, and the commands."""
    offered = talk.person("N-1", *AS_PLANNED).offered

    assert offered[0][:4] == ("GW-1", "N-1", "N-2", "N-3")
    assert offered[5][:4] == ("kPa", "bar", "back", "/skip")
    assert not any("0Q7Z" in words for words in offered)


# Values that differ


def test_a_value_that_differs_is_asked_for_again_and_both_readings_are_kept(talk: Talk) -> None:
    """The second reading is as planned: it counts, and the first one stays in the file."""
    shown = talk.answer("N-1", "100001", "18", "17")

    assert "  18 differs from the plan." in shown
    assert any(line.startswith("  Likely slip: one digit is one step off (") for line in shown)
    assert "CH again> " in shown
    assert "  This one is as planned. Both readings are kept, and this one counts." in shown
    readings = [(line["value"], line["reading"]) for line in talk.lines() if line["setting"] == "channel"]
    assert readings == [("18", 1), ("17", 2)]


def test_the_next_option_is_no_digit(talk: Talk) -> None:
    """The words for an option mention its list, but not which of its neighbours is planned."""
    shown = talk.answer("N-1", *AS_PLANNED[:4], "bar")

    (slip,) = (line for line in shown if "slip" in line)
    assert slip.startswith("  Likely slip: the option next to it in the list (")


def test_a_difference_that_is_read_twice_stays(talk: Talk) -> None:
    """A value read twice is what the device shows; it is not asked for a third time."""
    shown = talk.answer("N-1", "100001", "18", "18")

    assert "  Read as 18 again: it differs from the plan, and is kept as found." in shown
    assert shown[-1] == "NET ID> "


def test_two_readings_that_differ_are_asked_for_a_third(talk: Talk) -> None:
    """As long as the readings differ from each other and from the plan, it is not settled."""
    shown = talk.answer("N-1", "100001", "18", "19", "19")

    assert "  19 differs from the plan, and from the earlier reading." in shown
    assert [value for _, name, value in talk.typed() if name == "channel"] == ["18", "19", "19"]
    assert shown[-1] == "NET ID> "


@pytest.mark.parametrize("answer", ["", "/skip", "/skip no time"])
def test_it_may_be_left_at_one_reading(talk: Talk, answer: str) -> None:
    """If nobody looks again, the reading stays as it is."""
    shown = talk.answer("N-1", "100001", "18", answer)

    assert [value for _, name, value in talk.typed() if name == "channel"] == ["18"]
    assert shown[-1] == "NET ID> "


def test_a_reason_for_not_looking_again_is_not_lost_in_silence(talk: Talk) -> None:
    """The reading stays, so there is nowhere to keep the reason; a note takes it."""
    shown = talk.answer("N-1", "100001", "18", "/skip no time")

    assert "  The earlier reading stands; this reason is not kept, but /note keeps one." in shown
    assert "  The earlier reading stands." in talk.answer("N-2", "100002", "18", "/skip")


def test_a_serial_number_in_another_spelling_is_the_same(talk: Talk) -> None:
    """Leading zeros on a label do not matter; another number does."""
    assert not any("differs" in line for line in talk.answer("N-1", "00100001", "17"))
    assert any("differs" in line for line in talk.answer("N-2", "100009"))


# Numbers as they are typed


def test_a_unit_is_kept_apart_and_converted_only_for_the_check(talk: Talk) -> None:
    """8.125 bar is 812.5 kPa: as planned, and in the file as it was typed."""
    shown = talk.answer("N-1", "100001", "17", "0Q7Z", "8.125 bar")

    assert (talk.lines()[-1]["value"], talk.lines()[-1]["unit"]) == ("8.125", "bar")
    assert not any("differs" in line for line in shown)


def test_decimal_commas_are_taken_where_they_are_declared(tmp_path: Path) -> None:
    """With the comma as decimal mark a point is refused, and the text stays as typed."""
    talk = Talk(tmp_path, decimal=",")

    shown = talk.answer("N-1", "100001", "17", "0Q7Z", "812.5", "812,5")

    assert "the decimal mark here is the comma, unless --decimal" in " ".join(shown)
    assert talk.lines()[-1]["value"] == "812,5"
    assert not any("differs" in line for line in shown)
