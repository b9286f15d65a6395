"""Alarm setpoints and deadbands: what the rules say against what simulated alarms do.

Sources:

- OPC 10000-9, OPC Unified Architecture, Part 9: Alarms & Conditions (release 1.05):
  5.8.2 and B.1.5: a high alarm clears once the value is a deadband below its limit, a low alarm once it is a
  deadband above. Excerpt.
  5.8.18: HighHigh > High > Low > LowLow, and with deadbands HighHigh - deadband > High, High - deadband >
  Low, Low + deadband < High, LowLow + deadband < Low. Excerpt.
- Starting values of deadbands (flow 5 %, level 5 %, pressure 2 %, temperature 1 % of span): not found in any
  standard; common practice, no source. Texts that name a standard for them disagree with each other.
- That an alarm without deadband chatters, and LL < L < H < HH: ISA-18.2 / IEC 62682 family, memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.outside.sites import audited, named, of_rule

ORDER, DEADBAND, RANGE = "alarm-order-wrong", "deadband-unworkable", "alarm-outside-range"
SETPOINTS = ("low_low", "low", "high", "high_high")
RISING = ("100", "200", "800", "900")


@dataclass
class Alarms:
    """A low and a high alarm of one value, each with a deadband, as OPC 10000-9 describes them."""

    low: float
    high: float
    deadband: float
    low_on: bool = False
    high_on: bool = False

    def see(self, value: float) -> None:
        """Take the next value: an alarm comes on at its limit, and clears one deadband away from it."""
        if value <= self.low:
            self.low_on = True
        elif value >= self.low + self.deadband:
            self.low_on = False
        if value >= self.high:
            self.high_on = True
        elif value <= self.high - self.deadband:
            self.high_on = False

    def clear_after_alarm(self, values: Iterable[float]) -> Iterator[float]:
        """Yield the values between the limits at which both alarms are clear, once either has been on."""
        alarmed = False
        for value in values:
            self.see(value)
            alarmed = alarmed or self.low_on or self.high_on
            if alarmed and not self.low_on and not self.high_on and self.low < value < self.high:
                yield value


def texts(setpoints: Iterable[object], deadband: object = 1) -> dict[str, str]:
    """Return the settings of a node, as typed."""
    return dict(zip(SETPOINTS, map(str, setpoints), strict=True)) | {"deadband": str(deadband)}


def low_high(low: object, high: object, deadband: object) -> dict[str, str]:
    """Return the settings of a node that has a low and a high alarm only."""
    return {"low": str(low), "high": str(high), "deadband": str(deadband)}


def numbered(nodes: Iterable[Mapping[str, str]]) -> dict[str, Mapping[str, str]]:
    """Return nodes with tags N-0, N-1 and so on."""
    return {f"N-{number}": node for number, node in enumerate(nodes)}


def found_by(rule: str, nodes: Iterable[Mapping[str, str]]) -> list[bool]:
    """Return, for each planned node, whether a rule finds something on it."""
    planned = numbered(nodes)
    tags = named(audited("alarms.yaml", planned), rule)
    return [tag in tags for tag in planned]


PLACES = st.tuples(st.integers(-50, 50), st.integers(1, 40), st.integers(1, 60))
"""Low limit, gap to the high limit, deadband."""


@settings(max_examples=40, deadline=None)
@given(st.lists(PLACES, min_size=1, max_size=30), st.lists(st.integers(-120, 240), max_size=200))
@example([(10, 20, 19), (10, 20, 20), (10, 20, 21)], [])
def test_both_alarms_can_be_clear(places: list[tuple[int, int, int]], walk: list[int]) -> None:
    """Where the rule is silent both alarms clear between their limits; where it fires they never do.

    The value rises from the low alarm to the high one and falls back, then walks at random in half steps.
    """
    fires = found_by(DEADBAND, [low_high(low, low + gap, band) for low, gap, band in places])
    for (low, gap, band), fired in zip(places, fires, strict=True):
        high = low + gap
        rising = [low + n / 2 for n in range(-2, 2 * gap + 3)]
        if fired:
            course = [*rising, *rising[::-1], *(value / 2 for value in walk)]
            assert list(Alarms(low, high, band).clear_after_alarm(course)) == []
        else:
            assert list(Alarms(low, high, band).clear_after_alarm(rising))
            assert list(Alarms(low, high, band).clear_after_alarm(rising[::-1]))


FOUR = st.tuples(st.lists(st.integers(-50, 50), min_size=4, max_size=4, unique=True), st.integers(-1, 40))
"""Four setpoints and a deadband."""


@settings(max_examples=40, deadline=None)
@given(st.lists(FOUR, min_size=1, max_size=30))
@example([([0, 10, 30, 40], 9), ([0, 10, 30, 40], 10), ([0, 10, 20, 40], 10), ([0, 20, 40, 50], 10)])
def test_the_inequalities_of_opc_10000_9(nodes: list[tuple[list[int], int]]) -> None:
    """With setpoints in order, silence means a deadband above zero for which 5.8.18 holds throughout."""
    ordered = [(sorted(setpoints), band) for setpoints, band in nodes]
    fires = found_by(DEADBAND, [texts(setpoints, band) for setpoints, band in ordered])
    for ((ll, l, h, hh), band), fired in zip(ordered, fires, strict=True):  # noqa: E741 -- the trade's names
        workable = hh - band > h and h - band > l and l + band < h and ll + band < l
        assert fired == (not workable or band <= 0), (ll, l, h, hh, band)


@pytest.mark.parametrize("deadband", ["0", "0.00", "-1"])
def test_without_a_deadband_an_alarm_chatters(deadband: str) -> None:
    """Noise of one step around the limit brings such an alarm on with every swing, which is reported."""
    (finding,) = of_rule(audited("alarms.yaml", {"N-1": low_high(200, 800, deadband)}), DEADBAND)
    assert "chatters" in finding.message
    assert times_on(0) == 10
    assert times_on(2) == 1


def times_on(deadband: float) -> int:
    """Return how often a high alarm at 800 comes on while the value swings ten times between 799 and 800."""
    alarms = Alarms(200, 800, deadband)
    states = []
    for value in [799, 800] * 10:
        alarms.see(value)
        states.append(alarms.high_on)
    return sum(now and not before for before, now in pairwise([False, *states]))


STARTING = {"flow": 5, "level": 5, "pressure": 2, "temperature": 1}
"""Kind of measurement → deadband in % of span. Common practice, no source."""


@pytest.mark.parametrize(("kind", "percent"), STARTING.items())
def test_starting_values_are_accepted(kind: str, percent: int) -> None:
    """A plan with the usual deadband of its kind, and setpoints at 10, 20, 80 and 90 %, has nothing wrong."""
    node = {"range_low": "0", "range_high": "1000", **texts(RISING, percent * 10)}
    planned = {kind: node}
    for result in (audited("alarms.yaml", planned), audited("alarms.yaml", planned, found=planned)):
        assert {finding.rule for finding in result.findings} <= {"gateway-not-read"}


@pytest.mark.parametrize(("kind", "percent"), STARTING.items())
def test_starting_values_are_not_accepted_everywhere(kind: str, percent: int) -> None:
    """The same deadband is reported where high and high-high are as close as the deadband is wide."""
    close = ("100", "200", str(900 - percent * 10), "900")
    assert named(audited("alarms.yaml", {kind: texts(close, percent * 10)}), DEADBAND) == {kind}


def permuted() -> dict[str, Mapping[str, str]]:
    """Return a node for each of the 24 ways to write four values into four setpoints."""
    return {f"N-{'-'.join(values)}": texts(values) for values in permutations(RISING)}


def test_one_order_of_24_is_right() -> None:
    """Only LL < L < H < HH is accepted, in the plan and at the devices."""
    nodes = permuted()
    right = "N-100-200-800-900"
    planned = {tag: texts(RISING) for tag in nodes}
    assert len(nodes) == 24
    assert named(audited("alarms.yaml", nodes), ORDER) == set(nodes) - {right}
    assert named(audited("alarms.yaml", planned, found=nodes), ORDER) == set(nodes) - {right}


@pytest.mark.parametrize(
    "equal", [*combinations(range(4), 2)], ids=lambda pair: " = ".join(SETPOINTS[i] for i in pair)
)
def test_two_equal_setpoints_are_out_of_order(equal: tuple[int, int]) -> None:
    """Two alarms at one value are not in order, since 5.8.18 has 'greater' and not 'greater or equal'."""
    values: list[str] = list(RISING)
    values[equal[1]] = values[equal[0]]
    assert found_by(ORDER, [texts(values)]) == [True]


@pytest.mark.parametrize(
    "present", [subset for size in (1, 2, 3) for subset in combinations(range(4), size)],
    ids=lambda subset: "+".join(SETPOINTS[i] for i in subset),
)  # fmt: skip
def test_setpoints_that_are_not_there_are_passed_over(present: Sequence[int]) -> None:
    """A node with some of the alarms is judged by those: right in order, wrong with the ends swapped."""
    right = {SETPOINTS[i]: RISING[i] for i in present}
    wrong = {SETPOINTS[i]: RISING[j] for i, j in zip(present, reversed(present), strict=True)}
    assert found_by(ORDER, [right, wrong]) == [False, len(present) > 1]


@pytest.mark.parametrize(
    ("low", "high", "outside"),
    [("2", "6", False), ("0", "10", False), ("2", "10.01", True), ("2", "12", True), ("-0.01", "6", True)],
)
def test_setpoints_in_bar_are_compared_with_a_range_in_kilopascal(low: str, high: str, outside: bool) -> None:
    """A device type states both units, so 12 bar are found to lie outside 0 to 1000 kPa, 10 bar inside."""
    node = {"range_low": "0", "range_high": "1000", **low_high(low, high, 20)}
    result = audited("alarms-in-two-units.yaml", {"N-1": node})
    assert named(result, RANGE) == ({"N-1"} if outside else set())


@pytest.mark.parametrize(
    ("deadband", "too_wide"), [("20", False), ("399.99", False), ("400", True), ("500", True)]
)
def test_a_deadband_in_kilopascal_is_compared_with_setpoints_in_bar(deadband: str, too_wide: bool) -> None:
    """From 2 to 6 bar there is room for a deadband below 400 kPa, and for no wider one."""
    result = audited("alarms-in-two-units.yaml", {"N-1": low_high(2, 6, deadband)})
    assert named(result, DEADBAND) == ({"N-1"} if too_wide else set())
