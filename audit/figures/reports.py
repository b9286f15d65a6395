"""What nodes send: one report and how often it comes, and all reports of a network with their repeats."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import fsum
from typing import NamedTuple

from audit.engineering.airtime import frame_s
from audit.engineering.aloha import (
    load_with_repeats,
    pure_collision,
    pure_load_at_collision,
    slotted_collision,
    slotted_load_at_collision,
    tries_on_average,
)
from audit.figures.answers import Lacking
from audit.figures.surroundings import Device, Surroundings, alike, has_column, lacking, looked_at
from audit.model.site import Block

REPORTING = ("report_interval", "air_rate")

COLLISIONS: Mapping[str, Callable[[float], float]] = {
    "at random": pure_collision,
    "at random in slots": slotted_collision,
}
"""Channel access at random → the probability of a collision at a load."""
LOADS: Mapping[str, Callable[[float], float]] = {
    "at random": pure_load_at_collision,
    "at random in slots": slotted_load_at_collision,
}
"""Channel access at random → the load at which collisions have a probability."""


NOT_COUNTED = "repeats not counted"


class Report(NamedTuple):
    """A report as a node sends it."""

    frame_s: float
    interval_s: float
    tries: int
    """How many times at most."""


@dataclass(frozen=True, slots=True)
class Traffic:
    """All reports of a network."""

    reports: Mapping[Report, int]
    """Report → how many nodes send it."""
    load: float
    """The share of the time on air of all nodes together, with repeats if `collision` is known."""
    collision: float | None = None
    """The probability that a frame collides; None unless the plan says that nodes send at random.

    The load counts a node's own frames too, so this is a little too high, most where nodes are few.
    """

    @property
    def nodes(self) -> int:
        """How many nodes send."""
        return sum(self.reports.values())

    @property
    def sends(self) -> float:
        """How many times a report is sent on average over all nodes, each with its share of the time."""
        return self.load / _load(self.reports) if self.collision is not None else 1.0

    @property
    def intervals_s(self) -> list[float]:
        """The time between two reports of each node, in seconds."""
        return [report.interval_s for report, nodes in self.reports.items() for _ in range(nodes)]

    @property
    def tries(self) -> list[int]:
        """The numbers of tries that nodes have, fewest first."""
        return sorted({report.tries for report in self.reports})


def on_air_s(around: Surroundings, device: Device) -> float | None:
    """Return how long one report of a node is on air, in seconds."""
    message, rate = device.block.type.message, bit_rate(around, device)
    return frame_s(message.on_air_bits, rate) if message and rate else None


def bit_rate(around: Surroundings, device: Device) -> float | None:
    """Return a node's air rate, or else its gateway's, in bits a second."""
    for one in (device, around.gateway(device.network, device.side)):
        rate = one.number("air_rate", "kbit/s")
        if rate and rate > 0:
            return rate * 1000
    return None


def interval_s(device: Device) -> float | None:
    """Return the time between two reports of a node, in seconds."""
    interval = device.number("report_interval", "s")
    return interval if interval and interval > 0 else None


def report_of(around: Surroundings, device: Device) -> Report | Lacking:
    """Return the report of a node, or what it lacks: as found, something of it has to have been read."""
    report = _report(around, device)
    if report is None or not device.was_read(*REPORTING):
        return Lacking(lacking("a report interval and air rate", device.side))
    return report


def report_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for calculating their time on air."""
    if block.type.message is None:
        return "the bits of a message (message in the device type)"
    return "" if has_column(block, side, *REPORTING) else lacking("a report interval", side)


def sent_on_average(around: Surroundings, device: Device) -> tuple[float, str]:
    """Return how many times a node sends a report on average, and words for that.

    It is 1 where reports are not repeated, and where it is not known how many of them collide.
    """
    message = device.block.type.message
    repeated = message is not None and message.tries > 1 and _collision(around, device.network) is not None
    its = traffic(around, device.side).get(device.network) if repeated else None
    if message is None or its is None or its.collision is None:
        return 1.0, NOT_COUNTED
    sends = tries_on_average(its.collision, message.tries)
    return sends, f"sent {sends:.2f} times on average, since {100 * its.collision:.3g} % collide"


@lru_cache(maxsize=2)  # a rule asks for one side of a site, then for the other, device by device
def traffic(around: Surroundings, side: str) -> Mapping[str, Traffic]:
    """Return the traffic of each network in which all nodes give their message, air rate and interval."""
    reports: dict[str, Counter[Report]] = {network: Counter() for network in around.site.gateways}
    unknown: set[str] = set()
    for block in around.site.blocks:
        if block.gateway:
            continue
        keys, first = alike(looked_at(block, side, REPORTING))
        for key, nodes in Counter(keys).items():
            device = Device(block, first[key], side)
            report = _report(around, device)
            if report is None:
                unknown.add(device.network)
            else:
                reports[device.network][report] += nodes
    return {
        network: _traffic(around, network, sent)
        for network, sent in reports.items()
        if sent and network not in unknown
    }


def _collision(around: Surroundings, network: str) -> Callable[[float], float] | None:
    """Return the probability of a collision by load; None unless nodes send at random by the plan."""
    access = around.radio(network).access
    return COLLISIONS.get(access.how) if access else None


def _report(around: Surroundings, device: Device) -> Report | None:
    message, frame, interval = device.block.type.message, on_air_s(around, device), interval_s(device)
    return Report(frame, interval, message.tries) if message and frame and interval else None


def _traffic(around: Surroundings, network: str, reports: Mapping[Report, int]) -> Traffic:
    collision = _collision(around, network)
    if collision is None:
        return Traffic(reports, _load(reports))
    tries = {report.tries for report in reports}
    once = {most: _load({r: nodes for r, nodes in reports.items() if r.tries == most}) for most in tries}
    load = load_with_repeats(once, collision)
    return Traffic(reports, load, collision(load))


def _load(reports: Mapping[Report, int]) -> float:
    """Return the load of reports, each sent once."""
    return fsum(nodes * report.frame_s / report.interval_s for report, nodes in reports.items())
