"""Airtime of frames, nodes and networks."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.airtime import airtime_s_per_hour, duty, frame_bits, frame_s, load, nodes_left
from tests.engineering.numbers import NOT_A_PART, NOT_POSITIVE, PARTS, between


def test_a_frame_by_hand() -> None:
    """37 bytes at 50 kbit/s are 5.92 ms, and once a minute a duty of about a tenth of a thousandth."""
    bits = frame_bits(27, preamble_bytes=4, sync_bytes=2, header_bytes=2, check_bytes=2)
    assert bits == 296
    assert frame_bits(27) == 27 * 8
    assert frame_s(bits, 50_000) == pytest.approx(0.00592)
    assert duty(frame_s(bits, 50_000), 60) == pytest.approx(0.00592 / 60)


@given(bits=between(1, 1e6), rate_bit_s=between(100, 1e6), factor=between(1, 100))
def test_airtime_is_bits_by_rate(bits: float, rate_bit_s: float, factor: float) -> None:
    """Twice the bits take twice as long, twice the rate half as long."""
    base_s = frame_s(bits, rate_bit_s)
    assert frame_s(bits * factor, rate_bit_s) == pytest.approx(base_s * factor)
    assert frame_s(bits, rate_bit_s * factor) == pytest.approx(base_s / factor)


@given(shares=st.lists(PARTS, max_size=20))
def test_load_adds_up(shares: list[float]) -> None:
    """A network's load is the sum of its nodes' duties, above 1 too."""
    assert load(shares) == pytest.approx(sum(shares))


def test_a_percent_is_36_s_an_hour() -> None:
    """As licences put it."""
    assert airtime_s_per_hour(0.01) == 36


def test_a_full_channel_is_allowed_and_more_is_not() -> None:
    """On air all the time is the most there is."""
    assert duty(2, 4, frames=2) == 1
    with pytest.raises(ValueError, match=r"4\.2 s on air every 4 s do not fit"):
        duty(2.1, 4, frames=2)


@given(duty_of_one=between(0.001, 0.1), nodes=st.integers(0, 500))
def test_what_is_left_fits_and_one_more_does_not(duty_of_one: float, nodes: int) -> None:
    """As many nodes as are left reach the limit but do not pass it."""
    left = nodes_left(0, nodes * duty_of_one, duty_of_one)
    assert left == nodes
    assert nodes_left(nodes * duty_of_one, nodes * duty_of_one, duty_of_one) == 0


def test_nothing_is_left_of_an_overload() -> None:
    """Not fewer than none."""
    assert nodes_left(0.3, 0.1, 0.01) == 0
    assert nodes_left(0.05, 0.1, 0.02) == 2


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_no_rate_and_no_bits(wrong: float) -> None:
    """A rate of zero is refused, not divided by."""
    with pytest.raises(ValueError, match="rate_bit_s"):
        frame_s(100, wrong)
    with pytest.raises(ValueError, match="bits"):
        frame_s(wrong, 9600)
    with pytest.raises(ValueError, match="interval_s"):
        duty(0.1, wrong)


@pytest.mark.parametrize("wrong", NOT_A_PART)
def test_duties_are_shares(wrong: float) -> None:
    """1.5 is no duty, though 150 of 1 % are a load."""
    with pytest.raises(ValueError, match="duty"):
        load([0.1, wrong])
    with pytest.raises(ValueError, match="share"):
        airtime_s_per_hour(wrong)


def test_bytes_are_not_negative() -> None:
    """The argument is named."""
    with pytest.raises(ValueError, match="check_bytes"):
        frame_bits(10, check_bytes=-2)
