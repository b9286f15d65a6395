"""Ranking: the odds follow the formula, and the words claim no more than the odds."""

from __future__ import annotations

from typing import Any

import pytest

from audit.slips import Around, Ranking, tabulated
from audit.slips.priors import slip_file
from audit.slips.ranking import REACHES, percent
from tests.slips.cases import (
    ADDRESS,
    CHANNEL,
    FLAG,
    IDENTIFIER,
    LEVEL,
    PRESSURE,
    RATE,
    ranked,
    setting,
    value,
)

SUMP = Around(range_low=value("0", setting(**LEVEL)), range_high=value("12", setting(**LEVEL)))

NAMED = [
    (ADDRESS, "38", "83", Around(), "likely slip: two neighbouring digits swapped (99 %)"),
    (ADDRESS, "68", "067", Around(), "likely slip: one digit is one step off (99 %)"),
    (CHANNEL, "21", "1", Around(), "likely slip: left at the factory setting (96 %)"),
    (
        PRESSURE, "280", "381", Around(elevation_m=12),
        "likely slip: gauge and absolute pressure mixed up, 101 kPa apart (94 %)",
    ),
    (PRESSURE, "1600", "232", Around(), "likely slip: entered in psi instead of kPa (99 %)"),
    (PRESSURE, "780", "78", Around(), "likely slip: one zero too few (91 %)"),
    (RATE, "100", "50", Around(), "likely slip: the option next to it in the list (83 %)"),
    (FLAG, "off", "on", Around(), "likely slip: left at the factory setting (80 %)"),
    (FLAG, "on", "off", Around(), ""),
    (IDENTIFIER, "0402", "402", Around(), "likely slip: leading zeros lost (80 %)"),
    (LEVEL, "10.80", "8.10", SUMP, ""),
]  # fmt: skip
"""Setting, planned, found, surroundings, and the words."""


@pytest.mark.parametrize(("of", "planned", "found", "around", "words"), NAMED)
def test_a_value_is_named_in_one_line(
    of: dict[str, Any], planned: str, found: str, around: Around, words: str
) -> None:
    """A technician reads what was probably done, with the odds; nothing if nothing fits."""
    assert ranked(of, planned, found, around).words() == words


def test_odds_are_prior_by_legal_values() -> None:
    """Channel 21 for 22 of 40, calculated by hand.

    One step: 12 points over 20, 22, 11, 31, the legal values one step away. Chance: 5 points over the
    39 other channels.
    """
    one_step, chance = 12 / 4, 5 / 39

    (slip,) = ranked(CHANNEL, "21", "22").slips

    assert slip.id == "one-step"
    assert slip.probability == pytest.approx(one_step / (one_step + chance))


def test_ties_are_listed() -> None:
    """If two slips could have made the value and neither is twice as probable, both are named."""
    ranking = ranked({"kind": "integer", "low": 1, "high": 9999, "digits": 4}, "37", "3700")

    assert ranking.likely is None
    assert ranking.words() == (
        "possible slips: two zeros too many (50 %); entered from the left, its zeros at the end (50 %)"
    )


def test_each_further_value_of_the_same_slip_counts_ten_times() -> None:
    """What a whole column shows is not chance: one slip then explains many values."""
    found = value("35", setting(**CHANNEL))
    alone = ranked(CHANNEL, "34", "35", Around(series=found))
    in_a_run = ranked(CHANNEL, "34", "35", Around(series=found, further=frozenset({("filled-series", 2)})))

    assert alone.slips[0].id == "one-step"
    assert in_a_run.slips[0].id == "filled-series"
    assert in_a_run.slips[0].probability > 0.95


def test_a_value_that_was_not_saved_shows_the_earlier_one_or_the_default() -> None:
    """With an earlier reading the two can be told apart; without one the default covers both."""
    baseline = Around(baseline=value("40", setting(**CHANNEL)))

    assert ranked(CHANNEL, "21", "40", baseline).words() == (
        "likely slip: earlier value kept, the new one was not saved (98 %)"
    )
    with_one, without = ranked(CHANNEL, "21", "1", baseline), ranked(CHANNEL, "21", "1")
    assert with_one.slips[0].probability < without.slips[0].probability


def test_a_value_beyond_the_device_is_a_slip_of_writing() -> None:
    """No device with addresses to 247 held 380; the name does not depend on that limit."""
    slips = [slip.id for slip in ranked(ADDRESS, "38", "380").slips]

    assert slips == ["left-justified", "point-shift"]


@pytest.mark.parametrize(
    ("of", "planned", "found"),
    [
        ({"kind": "secret", "default": "1234"}, "4321", "1234"),
        (CHANNEL, "21", ""),
        (CHANNEL, "", "21"),
        (CHANNEL, "21", "21"),
        (CHANNEL, "21", "unreadable"),
    ],
)
def test_nothing_is_named(of: dict[str, Any], planned: str, found: str) -> None:
    """Access codes, missing values, values as planned and texts that no slip explains get no name."""
    assert ranked(of, planned, found) == Ranking()


def test_a_unit_that_was_stated_is_no_unit_slip() -> None:
    """2.8 bar for 1600 kPa is wrong, but certainly not because somebody forgot the unit."""
    slips = [slip.id for slip in ranked(PRESSURE, "1600", "2.32 bar").slips]

    assert "unit-slip" not in slips


def test_every_slip_of_the_file_has_its_code() -> None:
    """Data and code name the same slips, and the priors are a hundred points in all."""
    file = slip_file()

    assert [slip.id for slip in file.slips] != []
    assert {slip.id for slip in file.slips} == set(REACHES)
    points = sum(slip.prior for slip in file.slips) + file.random
    assert points == pytest.approx(100), "take a new slip's points from others, as test_priors.py has them"


def test_percent_is_never_certain() -> None:
    """A hundred percent would be a promise."""
    assert [percent(p) for p in (0.996, 1.0, 0.604, 0.1)] == ["99 %", "99 %", "60 %", "10 %"]


def test_a_table_says_what_ranking_says() -> None:
    """A page with the table needs no arithmetic of its own."""
    one = setting(**CHANNEL)
    table = tabulated(one, value("21", one), Around())

    assert table == {
        found: ranked(CHANNEL, "21", found).words() for found in ("1", "12", "22", "20", "11", "31", "2")
    }


def test_a_table_stays_small_and_shows_no_code() -> None:
    """A pressure to a hundredth of a kPa has 1200 values within the weather; the 300 most likely are kept."""
    fine = setting(kind="decimal", unit="kPa", step=0.01)
    secret = setting(kind="secret")

    assert len(tabulated(fine, value("280", fine), Around(elevation_m=12))) == 300
    assert tabulated(secret, value("4321", secret), Around()) == {}
    assert list(tabulated(setting(**IDENTIFIER), value("", setting(**IDENTIFIER)), Around())) == []
