"""Crossed: two devices found under each other's tag, and what their settings show."""

from __future__ import annotations

from pathlib import Path

from audit.pairing.crossed import Crossed, crossed_pairs
from audit.run import audited
from tests.site_builder import Row, SiteOf

A = {"tag": "A", "serial": "S10001", "address": 11, "range_high": 100, "channel": 7}
B = {"tag": "B", "serial": "S10002", "address": 12, "range_high": 200, "channel": 7}


def crossed(folder: Path, *found: Row) -> list[Crossed]:
    """Return the pairs among two planned nodes."""
    return list(crossed_pairs(audited(SiteOf(planned=[A, B], found=found).write(folder)).site))


def test_units_that_have_changed_places_show_the_plan_of_their_serial_numbers(tmp_path: Path) -> None:
    """Each is set for the other's place: in both settings that tell them apart, and in no other."""
    (pair,) = crossed(tmp_path, A | {"tag": "B"}, B | {"tag": "A"})

    assert (pair.own, pair.others) == (["address", "range_high"], [])
    assert (pair.one.how, pair.set_for_tags) == ("serial", False)


def test_crossed_serial_numbers_leave_each_device_set_for_its_tag(tmp_path: Path) -> None:
    """The labels were read, or written down, the wrong way round."""
    (pair,) = crossed(tmp_path, A | {"serial": "S10002"}, B | {"serial": "S10001"})

    assert (pair.one.how, pair.set_for_tags) == ("tag", True)
    assert pair.shown == "address, range_high"


def test_settings_of_both_plans_are_told_apart(tmp_path: Path) -> None:
    """The addresses are those of the serial numbers, the ranges those of the tags."""
    (pair,) = crossed(tmp_path, A | {"tag": "B", "range_high": 200}, B | {"tag": "A", "range_high": 100})

    assert {tuple(pair.own), tuple(pair.others)} == {("address",), ("range_high",)}
    assert not pair.set_for_tags


def test_one_device_under_the_tag_of_another_is_no_pair(tmp_path: Path) -> None:
    """The other one was read under its own tag."""
    assert crossed(tmp_path, A | {"tag": "B"}, B) == []
