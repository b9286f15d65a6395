"""Room: how many more nodes like those it has a network can take, and what runs out first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import fsum
from operator import itemgetter

from audit.engineering.airtime import SECONDS_AN_HOUR, nodes_left
from audit.engineering.aloha import tries_on_average
from audit.engineering.domain import whole_down
from audit.engineering.schedules import cycle_s, polls_left, slots_left, slots_taken
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.powers import by_licence
from audit.figures.reports import LOADS, Traffic, interval_s, traffic
from audit.figures.surroundings import Surroundings
from audit.model.plan import Network
from audit.model.radio import Access, Radio
from audit.phrases import counted

Left = tuple[int, str]
"""How many more nodes something is enough for, and what it is."""


def room(around: Surroundings, side: str, assumed: Assumed) -> Mapping[str, Sequence[Answer]]:
    """Return how many more nodes each network can take, with reports like those of its nodes on average."""
    return {network: [_room(around, network, side, assumed)] for network in around.site.gateways}


def _room(around: Surroundings, name: str, side: str, assumed: Assumed) -> Answer:
    network, nodes = around.networks[name], list(around.nodes(name, side))
    intervals = [interval for node in nodes if (interval := interval_s(node))]
    left = list(_by_count(network, len(nodes), _address(around, name, side)))
    if nodes and len(intervals) == len(nodes):
        left += _by_reports(network, intervals)
    if its := traffic(around, side).get(name):
        left += _by_air(around.radio(name), its, assumed)
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
        most = network.capacity.nodes
        yield most - nodes, f"the capacity of its gateway, {counted(most, 'node')}"


def _by_reports(network: Network, intervals: Sequence[float]) -> Iterator[Left]:
    most = network.capacity.reports_per_hour if network.capacity else None
    if most:
        now = fsum(SECONDS_AN_HOUR / interval for interval in intervals)
        by = f"the capacity of its gateway, {most:,g} reports an hour"
        yield nodes_left(now, most, now / len(intervals)), by


def _by_air(radio: Radio, its: Traffic, assumed: Assumed) -> Iterator[Left]:
    """Yield what the time on air leaves, by the licence and by the way in which nodes share the channel."""
    if radio.licence and radio.licence.airtime_s_per_hour:
        seconds = radio.licence.airtime_s_per_hour
        by = f"{seconds:g} s on air an hour, {by_licence(radio.licence)}"
        yield nodes_left(its.load, seconds / SECONDS_AN_HOUR, its.load / its.nodes), by
    if radio.access and radio.access.how in ("polled", "own slots"):
        yield _by_turns(radio.access, its)
    elif radio.access:
        acceptable = assumed["collision_percent"]
        limit = LOADS[radio.access.how](acceptable / 100)
        by = f"collisions, sent {radio.access.how}, {acceptable:g} % acceptable"
        load = _load_at(its, acceptable / 100)
        yield nodes_left(load, limit, load / its.nodes), by


def _load_at(its: Traffic, collision: float) -> float:
    """Return the load of a network's nodes if frames collide with this probability and are repeated."""
    return fsum(
        nodes * report.frame_s / report.interval_s * tries_on_average(collision, report.tries)
        for report, nodes in its.reports.items()
    )


def _by_turns(access: Access, its: Traffic) -> Left:
    """Return how many more turns there are in a round: polls or slots."""
    round_s = access.round_s or 1.0
    if access.how == "polled":
        poll = access.poll_s or 1.0
        return polls_left(round_s, cycle_s(its.nodes, poll), poll), f"polls of {poll:g} s in {round_s:g} s"
    slot = access.slot_s or 1.0
    intervals = its.intervals_s
    each = slots_taken(intervals, round_s) / its.nodes
    return whole_down(slots_left(round_s, slot, intervals) / each), f"slots of {slot:g} s in {round_s:g} s"
