"""Texts to the letter: only a spelling that no display shows is a sign that the plan was copied."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.checks.copied.texts import spelled_its_own_way
from audit.model.device import Setting
from audit.model.table import Style
from tests.checks.copied.rounds import copied, nodes, signs

CHANNEL = Setting(name="channel", kind="integer", digits=2)
HIGH = Setting(name="range_high", kind="decimal", unit="kPa g", step=0.1, digits=4)


@pytest.mark.parametrize(
    ("setting", "text"),
    [(CHANNEL, "7"), (CHANNEL, "07"), (CHANNEL, "12"), (HIGH, "10"), (HIGH, "10.0"), (HIGH, "010.0"),
     (HIGH, "0.5"), (HIGH, "0"), (HIGH, "10 kPa g"), (HIGH, "-3.5"), (HIGH, "high"), (HIGH, "")],
)  # fmt: skip
def test_what_a_display_shows_and_people_write_is_natural(setting: Setting, text: str) -> None:
    """Short, or with the zeros of the display: neither says where a number was copied from."""
    assert not spelled_its_own_way(setting, text, Style())


@pytest.mark.parametrize(
    ("setting", "text"),
    [(CHANNEL, "007"), (CHANNEL, "7.0"), (CHANNEL, "+7"), (CHANNEL, " 7"), (HIGH, "10.00"), (HIGH, "10."),
     (HIGH, "0.1 bar"), (HIGH, "010"), (Setting(name="seal", kind="text"), "S  1")],
)  # fmt: skip
def test_what_no_display_shows_is_the_plans_own(setting: Setting, text: str) -> None:
    """More zeros than there are places, stray blanks and other units come from a sheet."""
    assert spelled_its_own_way(setting, text, Style())


def test_a_decimal_comma_is_no_spelling_of_its_own() -> None:
    """A file from a country that writes 10,0 is read that way throughout."""
    assert not spelled_its_own_way(HIGH, "10,0", Style(decimal=","))
    assert spelled_its_own_way(HIGH, "10,00", Style(decimal=","))


def test_a_plan_as_displays_show_it_gives_no_sign(tmp_path: Path) -> None:
    """If the plan is written as the display shows it, an honest readback repeats it to the letter."""
    rows = nodes(12, channel="07", address=[f"{n:03}" for n in range(1, 13)], range_high="100.0")

    assert copied(tmp_path, rows, rows) == []


def test_zeros_that_are_left_out_here_and_there_tell_too(tmp_path: Path) -> None:
    """A display shows all channels alike; nobody leaves out the same zeros as the plan by chance."""
    rows = nodes(8, channel=["07", "8", "09", "7", "05", "6", "4", "03"])

    assert "8 of them in a spelling that no display would show" in signs(tmp_path, rows, rows)


def test_each_reader_has_a_finding_of_their_own(tmp_path: Path) -> None:
    """One of two readers copied; the other one's readings are not drawn into it."""
    own = nodes(6, channel="007", range_high="10.00")
    shown = nodes(6, channel="07", range_high="10.0")
    found = [
        row | {"read_by": name} for rows, name in ((own, "R. Sample"), (shown, "B. Other")) for row in rows
    ]

    (finding,) = copied(tmp_path, found, own + own)

    assert finding.found == "R. Sample"
    assert finding.message.startswith("what R. Sample read on 6 nodes shows a sign of copying: all 12 texts")
    assert finding.others == ["A", "B", "C", "D", "E", "F"]


@pytest.mark.parametrize("how", ["export", "gateway list", "Export from the gateway", "photo", "log file"])
def test_what_a_machine_wrote_is_no_copy(how: str, tmp_path: Path) -> None:
    """An export may well have the spelling of the plan that was loaded into the devices."""
    own = nodes(6, channel="007", range_high="10.00")

    assert copied(tmp_path, [row | {"read_how": how} for row in own], own) == []
    assert copied(tmp_path / "display", [row | {"read_how": "at the display"} for row in own], own) != []
