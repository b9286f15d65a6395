"""Schedules without collisions: nodes that are polled in turn, or that own slots.

Source of the arithmetic: common practice.
"""

from __future__ import annotations

from collections.abc import Iterable

from audit.engineering.domain import count, not_negative, positive, whole_down, whole_up


def poll_s(request_s: float, reply_s: float, turnaround_s: float = 0.0) -> float:
    """Return how long one answered poll takes, in seconds.

    `turnaround_s` is all the waiting in one poll: before the reply, and before the next request.
    """
    positive(request_s=request_s, reply_s=reply_s)
    not_negative(turnaround_s=turnaround_s)
    return request_s + turnaround_s + reply_s


def silent_poll_s(request_s: float, timeout_s: float, tries: int = 1) -> float:
    """Return how long a node that does not answer holds the channel, in seconds, over all tries."""
    positive(request_s=request_s)
    not_negative(timeout_s=timeout_s)
    count(tries=tries)
    return tries * (request_s + timeout_s)


def cycle_s(nodes: int, poll: float, silent: int = 0, silent_poll: float = 0.0) -> float:
    """Return how long it takes to poll all nodes once, in seconds.

    `silent` of them do not answer; silent nodes make a cycle too long that fits on paper.

    Raises ValueError if more nodes are silent than there are.
    """
    count(nodes=nodes)
    positive(poll=poll)
    not_negative(silent=silent, silent_poll=silent_poll)
    if silent > nodes:
        raise ValueError(f"silent is {silent} of {nodes} nodes -- no more nodes can be silent than there are")
    return (nodes - silent) * poll + silent * silent_poll


def polls_left(interval_s: float, cycle: float, poll: float) -> int:
    """Return how many more nodes can be polled within an interval; if below 0, how many are too many."""
    positive(interval_s=interval_s, poll=poll)
    not_negative(cycle=cycle)
    return whole_down((interval_s - cycle) / poll)


def slot_s(frame_s: float, guard_s: float, acknowledge_s: float = 0.0) -> float:
    """Return the shortest possible slot, in seconds: frame, acknowledgement and guard time.

    The guard time covers how far the clocks of gateway and node drift apart between two beacons.
    """
    positive(frame_s=frame_s)
    not_negative(guard_s=guard_s, acknowledge_s=acknowledge_s)
    return frame_s + acknowledge_s + guard_s


def slots(round_s: float, slot: float) -> int:
    """Return how many whole slots fit into a round; 0 if not even one fits."""
    positive(round_s=round_s, slot=slot)
    return whole_down(round_s / slot)


def slots_taken(intervals_s: Iterable[float], round_s: float) -> int:
    """Return how many slots of each round are taken by nodes with these report intervals.

    A node has its slot in every round, even if it has nothing to report; one that reports several times
    a round has as many slots.
    """
    positive(round_s=round_s)
    taken = 0
    for interval_s in intervals_s:
        positive(interval_s=interval_s)
        taken += max(1, whole_up(round_s / interval_s))
    return taken


def slots_left(round_s: float, slot: float, intervals_s: Iterable[float]) -> int:
    """Return how many slots of a round are free; if below 0, how many are missing."""
    return slots(round_s, slot) - slots_taken(intervals_s, round_s)
