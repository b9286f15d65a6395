"""Slips from the surroundings of a value: pairs, rows, earlier readings."""

from __future__ import annotations

from audit.slips import Around
from tests.slips.cases import ADDRESS, LEVEL, fitting, ranked, setting, value

ONE = setting(**LEVEL)


def test_low_and_high_exchanged() -> None:
    """The value planned for the other setting of the pair, with its name."""
    around = Around(pair=value("9.50", ONE), pair_name="high_alarm")

    assert ranked(LEVEL, "1.20", "9.50", around).words() == (
        "likely slip: low and high swapped: planned for high_alarm (99 %)"
    )


def test_the_neighbours_row_needs_the_whole_row_to_speak_for_it() -> None:
    """What is not given is not guessed: one equal value does not make a row."""
    row = Around(neighbours=(value("39", setting(**ADDRESS)),), further=frozenset({("neighbour-row", 2)}))

    assert fitting(ADDRESS, "38", "39") == ["one-step"]
    assert fitting(ADDRESS, "38", "39", row) == ["neighbour-row", "one-step"]


def test_the_address_of_another_node_competes_with_slips_of_the_keys() -> None:
    """One of seven others; a last digit that happens to be the default's does not count against it."""
    taken = Around(taken=value("31", setting(**ADDRESS)), taken_by="PT-31", others=7)

    assert fitting(ADDRESS, "33", "31") == ["digit-left-default"]
    assert fitting(ADDRESS, "33", "31", taken) == ["neighbour-row"]
    assert ranked(ADDRESS, "33", "31", taken).words() == "likely slip: the address planned for PT-31 (99 %)"
    assert fitting(ADDRESS, "32", "31", taken) == ["one-step", "neighbour-row"]


def test_two_digits_of_the_default_speak_for_it_all_the_same() -> None:
    """The default is 001: two digits of 133 were left."""
    taken = Around(taken=value("101", setting(**ADDRESS)), taken_by="PT-101", others=7)

    assert fitting(ADDRESS, "133", "101", taken) == ["digit-left-default", "neighbour-row"]


def test_an_earlier_value_that_was_not_saved() -> None:
    """The value of the earlier reading, and no other."""
    around = Around(baseline=value("150", setting(**ADDRESS)))

    assert fitting(ADDRESS, "38", "150", around) == ["not-saved"]
    assert fitting(ADDRESS, "38", "151", around) == []
