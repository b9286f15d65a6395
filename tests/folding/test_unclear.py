"""Folding of readings that are unclear in the same way."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, nodes


def test_a_sheet_with_decimal_commas_is_one_cause(tmp_path: Path) -> None:
    """One line of a mapping is missing, however many columns and devices there are."""
    planned, found = nodes(3, alarm_high=7.5, alarm_low=2.5), nodes(3, alarm_high="7,5", alarm_low="2,5")

    (cause,) = causes(tmp_path, planned=planned, found=found)

    assert (cause.rule, len(cause.dependents)) == ("unclear-alike", 6)
    assert cause.message == (
        "6 readings of alarm_low, alarm_high on 3 devices are unclear in the same way: '2,5' has a comma "
        "where the decimal mark is declared as '.'; state `decimal: ','` in a mapping if that is its decimal "
        "mark; also '7,5'"
    )


def test_words_that_the_device_does_not_have_are_one_cause(tmp_path: Path) -> None:
    """Different words in one column, with the same complaint."""
    planned, found = nodes(3, local_lock="on"), nodes(3, local_lock=["ein", "ein", "aus"])

    (cause,) = causes(tmp_path, planned=planned, found=found)

    assert (cause.rule, cause.setting, len(cause.dependents)) == ("unclear-alike", "local_lock", 3)
    assert cause.message.endswith("; also 'aus'")


def test_a_file_of_two_networks_is_one_cause(tmp_path: Path) -> None:
    """It is the file that is written in another way, not the network."""
    planned = [{**row, "network": name} for name, row in zip("ABAB", nodes(4, alarm_high=7.5), strict=True)]

    (cause,) = causes(tmp_path, planned=planned, found=nodes(4, alarm_high="7,5"))

    assert (cause.rule, cause.network, len(cause.dependents)) == ("unclear-alike", None, 4)


def test_one_device_with_many_unclear_readings_of_one_kind_is_named(tmp_path: Path) -> None:
    """A device that was read by somebody who writes numbers in another way."""
    alarms = ("alarm_low", "alarm_high", "alarm_high_high")

    (cause,) = causes(tmp_path, planned={name: n + 1.5 for n, name in enumerate(alarms)},
                      found={name: f"{n + 1},5" for n, name in enumerate(alarms)})  # fmt: skip

    assert (cause.others, "3 readings of" in cause.message, " on A are " in cause.message) == (
        ["A"],
        True,
        True,
    )


def test_one_word_that_is_no_option_is_one_cause(tmp_path: Path) -> None:
    """A list that says OK for yes says it for every device: a mapping translates it."""
    found = causes(tmp_path, planned=nodes(3), found=nodes(3, loss_action="OK"))
    (cause,) = (one for one in found if one.rule == "unclear-alike")

    assert cause.message == (
        "on 3 devices: loss_action OK is outside what the device can be set to: hold, low, high"
    )
    assert len(cause.dependents) == 3


FIRES: list[Fires] = [
    fires("unclear-alike", "a rate that no device has, where another is planned", "air_rate", node=None,
          others=["N01", "N02", "N03"], planned=nodes(3, air_rate="50"), found=nodes(3, air_rate="77"),
          gateway={"air_rate": "50"}, says="on 3 devices: air_rate"),
    fires("unclear-alike", "three nodes of one file", "alarm_high", node=None, others=["N01", "N02", "N03"],
          planned=nodes(3, alarm_high=7.5), found=nodes(3, alarm_high="7,5"),
          says="3 readings of alarm_high on 3 devices are unclear in the same", at=[("found.csv", 2, "B")]),
    fires("unclear-alike", "marks between thousands", "alarm_high", node=None, others=["N01", "N02", "N03"],
          planned=nodes(3, alarm_high=1450.5), found=nodes(3, alarm_high=["1 450.5", "1,450.5", "1 450"]),
          says="3 readings of alarm_high on 3 devices are unclear in the same way"),
    fires("unclear-alike", "a word that stands for a number", "alarm_high", node=None,
          others=["N01", "N02", "N03"], planned=nodes(3, alarm_high=7.5), found=nodes(3, alarm_high="acht")),
    fires("unclear-alike", "a unit that nobody knows", "alarm_high", node=None, others=["N01", "N02", "N03"],
          planned=nodes(3, alarm_high=7.5), found=nodes(3, alarm_high=["7.5 furl", "7 furl", "7.6 furl"])),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("unclear-alike", "two nodes", planned=nodes(2, alarm_high=7.5), found=nodes(2, alarm_high="7,5")),
    silent("unclear-alike", "three ways to be unclear", planned=nodes(3, alarm_high=7.5),
           found=nodes(3, alarm_high=["7,5", "high", "7.5 furlong"])),
    silent("unclear-alike", "remarks in place of numbers", planned=nodes(4, alarm_high=7.5),
           found=nodes(4, alarm_high=["as plan", "see note", "ok", "1 450.5"])),
    silent("unclear-alike", "numbers with doubts and remarks beside them", planned=nodes(4, alarm_high=7.5),
           found=nodes(4, alarm_high=["7.5?", "7.0/7.5", "~7.5", "7.5 (checked)"])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
