"""Slips of single digits: what each definition reaches, and what it does not."""

from __future__ import annotations

from typing import Any

import pytest

from audit.slips import Around
from audit.slips.case import case_of
from audit.slips.ranking import REACHES
from tests.slips.cases import ADDRESS, CHANNEL, IDENTIFIER, LEVEL, RATE, fitting, ranked, setting, value


def reached(slip: str, of: dict[str, Any], planned: str) -> set[str]:
    """Return the legal values that a slip could make of a plan, as texts."""
    one = setting(**of)
    case = case_of(one, value(planned, one), Around())
    assert case is not None
    return {f"{key}" for key in REACHES[slip](case).values}


@pytest.mark.parametrize(
    ("slip", "of", "planned", "values"),
    [
        ("one-step", CHANNEL, "21", {"11", "31", "20", "22"}),
        ("one-step", CHANNEL, "9", {"19", "8"}),  # 99 and 00 are not channels, 10 is two digits away
        ("one-step", {**LEVEL, "digits": 3}, "9.99", {"0.99", "8.99", "9.09", "9.89", "9.90", "9.98"}),
        ("one-step", RATE, "100", {"4.8", "50"}),
        ("one-step", IDENTIFIER, "1A9", {"0A9", "2A9", "1A8", "1A0"}),
        ("transposed", ADDRESS, "138", {"183"}),  # 318 is not an address
        ("transposed", IDENTIFIER, "1A07", {"A107", "10A7", "1A70"}),
        ("transposed", IDENTIFIER, "3-4", set()),
        ("transposed", LEVEL, "10.80", {"18.00", "10.08"}),  # no display shows 01.80
        ("left-justified", {**CHANNEL, "digits": 4, "high": 9999}, "37", {"3700"}),
        ("left-justified", IDENTIFIER, "0037", {"3700"}),
        ("left-justified", {"kind": "integer"}, "37", set()),  # no field, so no leading zeros
        ("left-justified", {**LEVEL, "digits": 5}, "0.85", set()),
        ("digit-left-default", ADDRESS | {"default": 100}, "247", {"107", "140", "147", "200", "207", "240"}),
        ("digit-left-default", ADDRESS, "21", set()),
        ("digit-left-default", IDENTIFIER | {"default": "0000"}, "1A00", {"0A00", "1000"}),
        ("digit-left-default", IDENTIFIER | {"default": "000"}, "1A00", set()),
        ("dropped-doubled", CHANNEL, "21", {"1", "2"}),
        ("dropped-doubled", {"kind": "integer"}, "210", {"10", "20", "21", "2210", "2110", "2100"}),
        ("dropped-doubled", LEVEL, "1.05", {"0.05", "1.5", "1.0", "11.05"}),
        ("zeros-lost", IDENTIFIER, "0402", {"402"}),
        ("zeros-lost", IDENTIFIER | {"digits": 5}, "402", {"0402", "00402"}),
        ("zeros-lost", IDENTIFIER, "0A02", set()),
        ("untouched", CHANNEL, "21", {"1"}),
        ("untouched", CHANNEL, "1", set()),
    ],
)  # fmt: skip
def test_a_slip_reaches_exactly_these_values(
    slip: str, of: dict[str, Any], planned: str, values: set[str]
) -> None:
    """Each definition with an example small enough to check by hand."""
    assert reached(slip, of, planned) == values


def test_default_digits_need_all_differing_places_at_the_default() -> None:
    """Address 247 with default 100: 107 has kept 1 and 0; 109 has not kept its last digit."""
    of = {**ADDRESS, "default": 100}

    assert "digit-left-default" in fitting(of, "247", "107")
    assert "digit-left-default" not in fitting(of, "247", "109")


def test_the_whole_default_is_untouched_and_not_partly_set() -> None:
    """A value that is the default as a whole has its own name."""
    assert fitting({**ADDRESS, "default": 100}, "247", "100") == ["untouched"]


def test_what_was_left_out_and_what_was_doubled_is_told_apart() -> None:
    """One slip in the odds, two in words."""
    assert "one digit left out" in [slip.words for slip in ranked(IDENTIFIER, "4021", "421").slips]
    assert "one digit doubled" in [slip.words for slip in ranked(IDENTIFIER, "4021", "44021").slips]


def test_zeros_that_are_more_than_planned_put_the_plan_in_doubt() -> None:
    """402 planned and 0402 found: the plan's own sheet lost the zero."""
    (slip,) = ranked(IDENTIFIER | {"digits": 4}, "402", "0402").slips

    assert slip.words == "leading zeros added, or lost in the plan"
