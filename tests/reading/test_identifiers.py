"""Tags and serial numbers as they are spelt, and damaged by spreadsheets."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.reading.identifiers import (
    bare,
    damaged,
    letters_and_digits,
    lost_from,
    mistyped,
    natural,
    spelling,
)

names = st.text("0017aAßé.,-_– /\x1c\x85", max_size=6).map(bare)


@given(st.lists(st.tuples(names, names), min_size=1))
def test_names_of_one_spelling_have_the_same_letters_and_digits(pairs: list[tuple[str, str]]) -> None:
    """So that `spelling` need not be called to rule out a name with other letters and digits."""
    ones, others = ([pair[k] for pair in pairs] for k in (0, 1))
    rough = zip(letters_and_digits(ones), letters_and_digits(others), strict=True)

    for (one, other), (rough_one, rough_other) in zip(pairs, rough, strict=True):
        assert rough_one == rough_other or spelling(one) != spelling(other)


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("4021 1830 0101", "402118300101", True),
        ("4021-1830-0101", "4021 1830 0101", True),
        ("410 031", "410031", False),
        ("2024-0007", "2024-7", True),
        ("101 201", "101-201", True),
        ("PT 101 201", "PT-101-201", True),
        ("PT 101 007", "PT-101-7", True),
        ("PT 101 201", "PT101201", False),
        ("12 345", "12345", False),
        ("3-4", "34", False),
    ],
)
def test_a_number_in_groups_of_digits_is_one_where_it_stands_alone(one: str, other: str, alike: bool) -> None:
    """Labels print long serial numbers in groups; two may be a year and a number, or parts of a tag."""
    assert (spelling(one) == spelling(other)) == alike


@pytest.mark.parametrize(
    ("text", "is_damaged"),
    [
        ("4.02E+11", True),
        ("4,02E+11", True),
        ("402118300108", False),
        ("1234567890123450", True),
        ("E5", False),
    ],
)
def test_damaged_identifiers(text: str, is_damaged: bool) -> None:
    """A spreadsheet's exponent form, and zeros after the fifteenth digit, have lost the identifier."""
    assert damaged(text) == is_damaged


@pytest.mark.parametrize(
    ("text", "identifier", "may_be"),
    [
        ("4.02E+11", "402118300108", True),
        ("4,02E+11", "402118300108", True),
        ("4.02E+11", "403118300108", False),
        ("4.02E+11", "40211830010", False),
        ("4E+11", "402118300108", True),
        ("1234567890123450", "1234567890123457", True),
        ("1234567890123450", "1234567890133457", False),
        ("402118300108", "402118300108", False),
        ("4.02E+11", "N-4", False),
    ],
)
def test_what_a_spreadsheet_may_have_rounded(text: str, identifier: str, may_be: bool) -> None:
    """A rounded serial number does not show whose it was, but rules out many devices."""
    assert lost_from(text, identifier) == may_be


@pytest.mark.parametrize(
    ("text", "may_be"),
    [
        ("4100l2", True),
        ("410021", True),
        ("41012", True),
        ("4100122", True),
        ("4410012", True),
        ("410013", False),
        ("410112", False),
        ("410012", False),
        ("", False),
    ],
)
def test_mis_keyed_identifiers(text: str, may_be: bool) -> None:
    """Look-alikes, swapped neighbours, one missing or doubled; a number one off is the next in the box."""
    assert mistyped(text, "410012") == may_be


def test_the_natural_order() -> None:
    """Numbers by their value, whatever surrounds them; shorter texts first."""
    ordered = ["", "7-PT", "10-PT", "LT-2", "PT", "PT9", "PT-09A", "PT-9", "PT-9-2", "PT-9-10", "PT-10"]
    assert sorted(ordered, key=natural) == ordered != sorted(ordered)


def test_a_number_may_be_longer_than_python_counts() -> None:
    """It takes 4,300 digits; a damaged file may have more."""
    ordered = ["PT-8", "PT-" + "8" * 5000, "PT-" + "9" * 5000]
    assert sorted((ordered[2], ordered[1], ordered[0]), key=natural) == ordered
