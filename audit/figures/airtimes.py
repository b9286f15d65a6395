"""Time on air: the duty of a node, and the airtime of a network."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import fsum

from audit.engineering.airtime import SECONDS_AN_HOUR, frame_s
from audit.engineering.aloha import (
    pure_collision,
    pure_load_at_collision,
    slotted_collision,
    slotted_load_at_collision,
)
from audit.engineering.schedules import slots, slots_taken
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.powers import band_limit, by_licence, cited
from audit.figures.surroundings import Device, Surroundings
from audit.model.radio import Access, Radio
from audit.model.site import Block
from audit.phrases import rounded

REPORTING = ("report_interval", "air_rate")


def on_air_s(around: Surroundings, device: Device) -> float | None:
    """Return how long one report of a node is on air, in seconds."""
    message, rate = device.block.type.message, bit_rate(around, device)
    return frame_s(message.bits, rate) if message and rate else None


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


def report_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for calculating their time on air."""
    if block.type.message is None:
        return "the bits of a message (message in the device type)"
    given = any(block.column(side, s.name) for role in REPORTING for s in block.settings(role))
    return "" if given else "a report interval"


def duty_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for comparing their duty with a limit."""
    if not any(radio.band or radio.licence for radio in around.site.plan.radios()):
        return "a band or licence in the plan"
    return report_lacks(around, block, side)


def duty(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the share of an hour that a node is on air, in percent, each report sent once."""
    most, by = _most_duty(around, device)
    if most is None:
        return Lacking("a duty limit from the licence or band")
    frame, interval = on_air_s(around, device), interval_s(device)
    if frame is None or interval is None or not device.was_read(*REPORTING):
        return Lacking("a report interval and air rate")
    message = device.block.type.message
    words = (
        f"{message.bits if message else 0:g} bits at {bit_rate(around, device):.0f} bit/s take {frame:.4g} s "
        f"on air, every {interval:g} s: {rounded(frame / interval * SECONDS_AN_HOUR)} s an hour, "
        "repeats not counted"
    )
    return Calculated(value=100 * frame / interval, sum=words, roles=REPORTING, high=most, by=by)


def _most_duty(around: Surroundings, device: Device) -> tuple[float | None, str]:
    licence = around.radio(device.network).licence
    if licence and licence.duty_percent is not None:
        return licence.duty_percent, by_licence(licence)
    published = band_limit(around, device)
    if published is None or published.duty_percent is None:
        return None, ""
    return published.duty_percent, f"by {cited(published, 'unless the node listens before it talks')}"


def airtime(around: Surroundings, side: str, assumed: Assumed) -> dict[str, Sequence[Answer]]:
    """Return how much airtime the nodes of each network use, in percent of what they may use."""
    return {network: _airtime(around, network, side, assumed) for network in around.site.gateways}


def _airtime(around: Surroundings, network: str, side: str, assumed: Assumed) -> Sequence[Answer]:
    radio = around.radio(network)
    if not (radio.access or (radio.licence and radio.licence.airtime_s_per_hour)):
        return [Lacking("the channel access in the plan (access), or the airtime of a licence")]
    nodes = list(around.nodes(network, side))
    timed = [(f, t) for d in nodes if (f := on_air_s(around, d)) and (t := interval_s(d))]
    if not nodes or len(timed) < len(nodes):
        return [Lacking("the message bits, air rate and report interval of every node")]
    if side == "found" and not any(node.was_read(*REPORTING) for node in nodes):
        return [Lacking("a report interval that was read")]
    return list(_used(radio, timed, assumed))


def _used(radio: Radio, timed: Sequence[tuple[float, float]], assumed: Assumed) -> Iterator[Calculated]:
    load = fsum(frame / interval for frame, interval in timed)
    seconds = load * SECONDS_AN_HOUR
    nodes = "1 node is" if len(timed) == 1 else f"{len(timed)} nodes are"
    offered = f"{nodes} on air {rounded(seconds)} s an hour"
    if radio.licence and radio.licence.airtime_s_per_hour:
        most, by = radio.licence.airtime_s_per_hour, by_licence(radio.licence)
        yield Calculated(value=100 * seconds / most, sum=f"{offered}, {most:g} s allowed", high=100, by=by)
    if radio.access:
        words, used = _access(radio.access, timed, load, assumed["collision_percent"])
        yield Calculated(value=100 * used, sum=f"{offered}; {words}", high=100, by="by its channel access")


def _access(
    access: Access, timed: Sequence[tuple[float, float]], load: float, acceptable: float
) -> tuple[str, float]:
    """Return, in words and as a share, how much of what a channel access can carry is used."""
    if access.how == "polled":
        used = len(timed) * (access.poll_s or 0.0) / (access.round_s or 1.0)
        return f"{len(timed)} polls of {access.poll_s:g} s in {access.round_s:g} s", used
    if access.how == "own slots":
        have = slots(access.round_s or 1.0, access.slot_s or 1.0)
        taken = slots_taken((interval for _, interval in timed), access.round_s or 1.0)
        longest = max(frame for frame, _ in timed)
        if longest > (access.slot_s or 0.0):
            words = f"a report of {rounded(longest)} s does not fit a slot of {access.slot_s:g} s"
            return words, longest / (access.slot_s or 1.0)
        return f"{taken} of {have} slots taken in {access.round_s:g} s", taken / have if have else 2.0
    slotted = access.how == "at random in slots"
    collision = slotted_collision(load) if slotted else pure_collision(load)
    limit = (slotted_load_at_collision if slotted else pure_load_at_collision)(acceptable / 100)
    words = f"sent {access.how}, {100 * collision:.3g} % of reports collide, {acceptable:g} % is acceptable"
    return words, load / limit
