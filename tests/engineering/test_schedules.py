"""Polled and slotted schedules."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.schedules import (
    cycle_s,
    poll_s,
    polls_left,
    silent_poll_s,
    slot_s,
    slots,
    slots_left,
    slots_taken,
)
from tests.engineering.numbers import between


def test_a_cycle_by_hand() -> None:
    """20 nodes at 0.3 s; two that do not answer cost three tries of 1.1 s each."""
    poll = poll_s(request_s=0.1, reply_s=0.15, turnaround_s=0.05)
    assert poll == pytest.approx(0.3)
    assert poll_s(request_s=0.1, reply_s=0.15) == pytest.approx(0.25)
    assert slot_s(frame_s=0.15, guard_s=0.05) == pytest.approx(0.2)
    assert silent_poll_s(0.1, timeout_s=1, tries=3) == pytest.approx(3.3)
    assert cycle_s(20, poll) == pytest.approx(6)
    assert cycle_s(20, poll, silent=2, silent_poll=3.3) == pytest.approx(18 * 0.3 + 2 * 3.3)


def test_what_is_left_of_a_cycle() -> None:
    """Below 0 it says how many nodes are too many."""
    assert polls_left(10, 6, 0.3) == 13
    assert polls_left(6, 6, 0.3) == 0
    assert polls_left(5, 6, 0.3) == -4


@given(nodes=st.integers(1, 200), poll=between(0.01, 1), more=st.integers(0, 100))
def test_what_is_left_fits(nodes: int, poll: float, more: int) -> None:
    """An interval for more nodes has room for just those."""
    assert polls_left(cycle_s(nodes + more, poll), cycle_s(nodes, poll), poll) == more


@given(nodes=st.integers(1, 50), poll=between(0.01, 1), extra=between(0.001, 5))
def test_a_silent_node_only_lengthens_the_cycle(nodes: int, poll: float, extra: float) -> None:
    """If its timeout is longer than an answered poll, as it has to be."""
    times = [cycle_s(nodes, poll, silent, poll + extra) for silent in range(nodes + 1)]
    assert times == sorted(times)


def test_slots_by_hand() -> None:
    """A 60 s round of 250 ms slots has 240; nodes at 60 s and slower hold one, at 15 s four."""
    slot = slot_s(frame_s=0.15, guard_s=0.05, acknowledge_s=0.05)
    assert slot == pytest.approx(0.25)
    assert slots(60, slot) == 240
    assert slots_taken([60, 300, 15, 40], 60) == 1 + 1 + 4 + 2
    assert slots_left(60, slot, [60] * 240) == 0
    assert slots_left(60, slot, [60] * 242) == -2


@given(number=st.integers(1, 5000), slot=between(0.001, 2))
def test_a_round_holds_the_slots_that_it_was_made_of(number: int, slot: float) -> None:
    """Binary rounding loses none."""
    assert slots(number * slot, slot) == number


@given(intervals=st.lists(between(1, 3600), min_size=1, max_size=50), round_s=between(1, 600))
def test_slots_suffice_for_every_report(intervals: list[float], round_s: float) -> None:
    """Each node holds at least as many slots a round as it has reports, and at least one."""
    taken = slots_taken(intervals, round_s)
    assert taken >= len(intervals)
    assert taken * (1 + 1e-6) >= sum(round_s / interval for interval in intervals)


def test_a_round_shorter_than_a_slot() -> None:
    """Holds none, and no node fits."""
    assert slots(0.1, 0.25) == 0
    assert slots_left(0.1, 0.25, [1]) == -1


def test_what_makes_no_schedule() -> None:
    """Each says what is wrong."""
    with pytest.raises(ValueError, match="silent is 3 of 2 nodes"):
        cycle_s(2, 0.3, silent=3, silent_poll=1)
    with pytest.raises(ValueError, match="nodes is 0"):
        cycle_s(0, 0.3)
    with pytest.raises(ValueError, match="guard_s"):
        slot_s(0.1, -0.01)
    with pytest.raises(ValueError, match="interval_s"):
        slots_taken([60, 0], 60)
    with pytest.raises(ValueError, match="reply_s"):
        poll_s(0.1, 0)
