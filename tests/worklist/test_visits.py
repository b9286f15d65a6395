"""Visits: a device is visited once, unless something elsewhere has to be done in between."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from audit.worklist.drafts import Draft
from audit.worklist.visits import finish_last, group_of, split_visits


def step(tag: str, *needs: int) -> Draft:
    """Return a step at a device, which waits for others."""
    return Draft("device", "setting", 5, f"work at {tag}", network="North", tag=tag, needs=set(needs))


def visits(*drafts: Draft) -> list[int]:
    """Return at which visit to its device each step is done, counted from 0."""
    making: Any = SimpleNamespace(drafts=list(drafts))
    split_visits(making)
    return [draft.visit for draft in drafts]


def test_what_only_waits_its_turn_is_done_in_one_visit() -> None:
    """A before B, both times: nobody comes back to A."""
    assert visits(step("A"), step("A"), step("B", 0, 1)) == [0, 0, 0]


def test_a_device_is_visited_again_where_another_comes_between() -> None:
    """The label of A is read, then B moves, then A moves: only the last step of A comes later."""
    assert visits(step("A"), step("B", 0), step("A", 1)) == [0, 0, 1]


def test_two_devices_that_wait_for_each_other_are_each_visited_again() -> None:
    """A, B, A, B: both are visited twice, since each second step waits for the other device."""
    assert visits(step("A"), step("B", 0), step("A", 1), step("B", 2)) == [0, 0, 1, 1]


def test_what_shuts_a_device_off_is_done_in_its_last_visit() -> None:
    """Ports, codes and locks; what is only set stays where it was."""
    early = [step("A") for _ in range(4)]
    for draft, phase in zip(early, ("setting", "port", "code", "lock"), strict=True):
        draft.phase = phase  # type: ignore[assignment]
    late = step("A")
    late.visit = 1
    making: Any = SimpleNamespace(drafts=[*early, late, step("B")])
    finish_last(making)

    assert [draft.visit for draft in making.drafts] == [0, 1, 1, 1, 1, 0]


def test_the_desk_is_one_place() -> None:
    """What is decided at a desk is one group, whatever device it is about."""
    assert group_of(Draft("desk", "look", 5, "decide", network="North", tag="A")) == ("desk",)
    assert group_of(step("A")) == ("device", "North", "A", "", 0)
