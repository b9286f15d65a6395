"""Signals of a 4-20 mA loop: what is a measurement, what is a failure, and what percentage it stands for.

Sources:

- NAMUR Recommendation NE 43, 'Standardization of the Signal Level for the Failure Information of Digital
  Transmitters' (editions 2003-02-03 and 2021-07-26): measuring from 3.8 to 20.5 mA, failure at 3.6 mA and
  below or at 21.0 mA and above. Secondary: four independent pages quote these values; neither edition was
  read, and the detection margins of the 2021 edition are not known here.
- Percentage = (I - 4) / 16 * 100: linear scaling of 4-20 mA, common practice; the values in the table
  were calculated in decimal arithmetic.

The rules are those of `data/current-loop-rules.yaml`, for these tests alone: no built-in rule knows
NE 43. What is tested is how expressions of site rules behave at limits, between limits and in other units.
"""

from __future__ import annotations

import pytest

from tests.outside.sites import audited, named

TYPE, RULES = "current-loop.yaml", ["current-loop-rules.yaml"]
FAILURE, SATURATED, SCALING = "loop-signals-failure", "loop-saturated", "scaling-off"

PERCENTAGES = {
    "3.6": "-2.5", "3.8": "-1.25", "4": "0", "8": "25", "12": "50", "16": "75", "20": "100",
    "20.5": "103.125", "21": "106.25",
}  # fmt: skip
"""Current in mA → percentage."""


def rules_on(current: str, percent: str = "") -> set[str]:
    """Return the rules of the loop that find something on a node with this reading."""
    found = {"N-1": {"loop_current": current, "percent": percent}}
    result = audited(TYPE, {"N-1": {}}, found=found, rules=RULES)
    return {rule for rule in (FAILURE, SATURATED, SCALING, "reading-unclear") if named(result, rule)}


@pytest.mark.parametrize("current", ["3.8", "3.80", "3.81", "4.0", "12", "20.0", "20.49", "20.5"])
def test_measuring(current: str) -> None:
    """From 3.8 to 20.5 mA, both included, the loop measures."""
    assert rules_on(current) == set()


@pytest.mark.parametrize(
    "current", ["0", "0.00", "3.2", "3.59", "3.6", "3.60", "21", "21.0", "21.01", "21.6", "22.8"]
)
def test_failure(current: str) -> None:
    """At 3.6 mA and below, and at 21.0 mA and above, a transmitter signals its own failure."""
    assert rules_on(current) == {FAILURE}


@pytest.mark.parametrize("current", ["3.61", "3.7", "3.79", "20.51", "20.8", "20.99"])
def test_neither(current: str) -> None:
    """Between the measuring range and failure the loop is saturated, but has not failed."""
    assert rules_on(current) == {SATURATED}


@pytest.mark.parametrize(
    ("current", "expected"),
    [
        ("3600 µA", {FAILURE}),
        ("3601 uA", {SATURATED}),
        ("0.0038 A", set()),
        ("21 mA", {FAILURE}),
        ("0.0205 A", set()),
    ],
)
def test_limits_in_other_units(current: str, expected: set[str]) -> None:
    """The limits hold exactly for readings in microamperes and amperes."""
    assert rules_on(current) == expected


def test_a_loop_that_was_not_read_is_not_a_measurement() -> None:
    """A blank is neither a failure nor 0 mA, and the rules say that they looked at nothing."""
    result = audited(TYPE, {"N-1": {}}, found={"N-1": {"loop_current": "-", "percent": "-"}}, rules=RULES)
    assert {FAILURE, SATURATED, SCALING} <= {idle.rule for idle in result.not_checked}


@pytest.mark.parametrize(("current", "percent"), PERCENTAGES.items())
def test_scaling(current: str, percent: str) -> None:
    """The table's percentage is accepted for its current; one that is two display steps off is not."""
    assert SCALING not in rules_on(current, percent)
    assert SCALING in rules_on(current, str(float(percent) + 0.02))
    assert SCALING in rules_on(current, str(float(percent) - 0.02))


@pytest.mark.parametrize("current", PERCENTAGES)
def test_scaling_by_another_range(current: str) -> None:
    """A device that scales 0-20 mA is reported at every current except 20 mA, where both scales meet."""
    percent = f"{float(current) / 20 * 100:.2f}"
    assert (SCALING in rules_on(current, percent)) == (current != "20")
