"""Room: how many more nodes like those it has a network can take, and what runs out first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import fsum
from operator import itemgetter

from audit.engineering.airtime import SECONDS_AN_HOUR, nodes_left
from audit.engineering.aloha import pure_load_at_collision, slotted_load_at_collision
from audit.engineering.domain import whole_down
from audit.engineering.schedules import cycle_s, polls_left, slots_left, slots_taken
from audit.figures.airtimes import interval_s, on_air_s
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.powers import by_licence
from audit.figures.surroundings import Surroundings
from audit.model.plan import Network
from audit.model.radio import Access, Radio

Left = tuple[int, str]
"""How many more nodes something is enough for, and what it is."""
Timed = Sequence[tuple[float, float]]
"""For each node, how long a report is on air and the time between two reports, in seconds."""


def room(around: Surroundings, side: str, assumed: Assumed) -> Mapping[str, Sequence[Answer]]:
    """Return how many more nodes each network can take, with reports like those of its nodes on average."""
    return {network: [_room(around, network, side, assumed)] for network in around.site.gateways}


def _room(around: Surroundings, name: str, side: str, assumed: Assumed) -> Answer:
    network, nodes = around.networks[name], list(around.nodes(name, side))
    intervals = [interval for node in nodes if (interval := interval_s(node))]
    timed = [
        (frame, every) for node in nodes if (frame := on_air_s(around, node)) and (every := interval_s(node))
    ]
    left = list(_by_count(network, len(nodes), _address(around, name, side)))
    if nodes and len(intervals) == len(nodes):
        left += _by_reports(network, intervals)
    if nodes and len(timed) == len(nodes):
        left += _by_air(around.radio(name), timed, assumed)
    if not left:
        return Lacking("addresses, a capacity or channel access in the plan")
    left = sorted(((max(0, n), what) for n, what in left), key=itemgetter(0))
    words = "; ".join(f"{n:,} by {what}" for n, what in left)
    return Calculated(value=left[0][0], sum=words)


def _address(around: Surroundings, network: str, side: str) -> float | None:
    """Return the address of a gateway, which may be one of those set aside for its network."""
    return around.gateway(network, side).number("address", "")


def _by_count(network: Network, nodes: int, of_gateway: float | None) -> Iterator[Left]:
    if network.addresses:
        first, last = network.addresses.first, network.addresses.last
        block = range(first, last + 1)
        taken = {*network.addresses.reserved, of_gateway}.intersection(block)
        yield len(block) - len(taken) - nodes, f"its addresses, {first} to {last}"
    if network.capacity and network.capacity.nodes:
        yield network.capacity.nodes - nodes, f"the capacity of its gateway, {network.capacity.nodes:,} nodes"


def _by_reports(network: Network, intervals: Sequence[float]) -> Iterator[Left]:
    most = network.capacity.reports_per_hour if network.capacity else None
    if most:
        now = fsum(SECONDS_AN_HOUR / interval for interval in intervals)
        by = f"the capacity of its gateway, {most:,g} reports an hour"
        yield nodes_left(now, most, now / len(intervals)), by


def _by_air(radio: Radio, timed: Timed, assumed: Assumed) -> Iterator[Left]:
    """Yield what the time on air leaves, by the licence and by the way in which nodes share the channel."""
    load = fsum(frame / interval for frame, interval in timed)
    each = load / len(timed)
    if radio.licence and radio.licence.airtime_s_per_hour:
        seconds = radio.licence.airtime_s_per_hour
        by = f"{seconds:g} s on air an hour, {by_licence(radio.licence)}"
        yield nodes_left(load, seconds / SECONDS_AN_HOUR, each), by
    if radio.access and radio.access.how in ("polled", "own slots"):
        yield _by_turns(radio.access, timed)
    elif radio.access:
        slotted, acceptable = radio.access.how == "at random in slots", assumed["collision_percent"]
        limit = (slotted_load_at_collision if slotted else pure_load_at_collision)(acceptable / 100)
        by = f"collisions, sent {radio.access.how}, {acceptable:g} % acceptable"
        yield nodes_left(load, limit, each), by


def _by_turns(access: Access, timed: Timed) -> Left:
    """Return how many more turns there are in a round: polls or slots."""
    round_s, intervals = access.round_s or 1.0, [interval for _, interval in timed]
    if access.how == "polled":
        poll = access.poll_s or 1.0
        return polls_left(round_s, cycle_s(len(timed), poll), poll), f"polls of {poll:g} s in {round_s:g} s"
    slot = access.slot_s or 1.0
    each = slots_taken(intervals, round_s) / len(timed)
    return whole_down(slots_left(round_s, slot, intervals) / each), f"slots of {slot:g} s in {round_s:g} s"
