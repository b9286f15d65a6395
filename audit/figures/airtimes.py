"""Time on air: the duty of a node, and the airtime of a network."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.engineering.airtime import SECONDS_AN_HOUR
from audit.engineering.aloha import delivered
from audit.engineering.schedules import slots, slots_taken
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.powers import band_limit, by_licence, cited
from audit.figures.reports import (
    LOADS,
    NOT_COUNTED,
    REPORTING,
    Traffic,
    bit_rate,
    report_lacks,
    report_of,
    sent_on_average,
    traffic,
)
from audit.figures.surroundings import Device, Surroundings, lacking
from audit.model.radio import Access, Radio
from audit.model.site import Block
from audit.phrases import counted, rounded


def duty_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for comparing their duty with a limit."""
    if not any(radio.band or radio.licence for radio in around.site.plan.radios()):
        return "a band or licence in the plan"
    return report_lacks(around, block, side)


def duty(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the share of an hour that a node is on air, in percent, with repeats where they are known."""
    most, by = _most_duty(around, device)
    if most is None:
        return Lacking("a duty limit from the licence or band")
    report = report_of(around, device)
    if isinstance(report, Lacking):
        return report
    message = device.block.type.message
    bits = message.on_air_bits if message else 0.0
    sends, repeats = sent_on_average(around, device)
    share = report.frame_s * sends / report.interval_s
    words = (
        f"{bits:g} bits at {bit_rate(around, device):.0f} bit/s take {report.frame_s:.4g} s "
        f"on air, every {report.interval_s:g} s: {rounded(share * SECONDS_AN_HOUR)} s an hour, {repeats}"
    )
    return Calculated(value=100 * share, sum=words, roles=REPORTING, high=most, by=by)


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
    sent = traffic(around, side).get(network)
    if sent is None:
        return [Lacking("the message bits, air rate and report interval of every node")]
    if side == "found" and not any(node.was_read(*REPORTING) for node in around.nodes(network, side)):
        return [Lacking(lacking("a report interval", side))]
    return list(_used(radio, sent, assumed))


def _used(radio: Radio, sent: Traffic, assumed: Assumed) -> Iterator[Calculated]:
    seconds = sent.load * SECONDS_AN_HOUR
    nodes = "1 node is" if sent.nodes == 1 else f"{sent.nodes} nodes are"
    offered = f"{nodes} on air {rounded(seconds)} s an hour{_repeats(sent)}"
    if radio.licence and radio.licence.airtime_s_per_hour:
        most, by = radio.licence.airtime_s_per_hour, by_licence(radio.licence)
        yield Calculated(value=100 * seconds / most, sum=f"{offered}, {most:g} s allowed", high=100, by=by)
    if radio.access:
        words, used = _access(radio.access, sent, assumed["collision_percent"])
        yield Calculated(value=100 * used, sum=f"{offered}; {words}", high=100, by="by its channel access")


def _repeats(sent: Traffic) -> str:
    """Return words for the repeats in the traffic of a network, blank if none of its nodes repeats."""
    if sent.tries[-1] == 1:
        return ""
    if sent.collision is None:
        return f", {NOT_COUNTED}"
    return f", each report sent {sent.sends:.2f} times on average because of collisions"


def _access(access: Access, sent: Traffic, acceptable: float) -> tuple[str, float]:
    """Return, in words and as a share, how much of what a channel access can carry is used."""
    if access.how == "polled":
        used = sent.nodes * (access.poll_s or 0.0) / (access.round_s or 1.0)
        return f"{counted(sent.nodes, 'poll')} of {access.poll_s:g} s in {access.round_s:g} s", used
    if access.how == "own slots":
        have = slots(access.round_s or 1.0, access.slot_s or 1.0)
        taken = slots_taken(sent.intervals_s, access.round_s or 1.0)
        longest = max(report.frame_s for report in sent.reports)
        if longest > (access.slot_s or 0.0):
            words = f"a report of {rounded(longest)} s does not fit a slot of {access.slot_s:g} s"
            return words, longest / (access.slot_s or 1.0)
        return f"{taken} of {have} slots taken in {access.round_s:g} s", taken / have if have else 2.0
    collision = sent.collision or 0.0
    limit = LOADS[access.how](acceptable / 100)
    through = "".join(_through(collision, tries) for tries in sent.tries if tries > 1)
    words = f"sent {access.how}, {100 * collision:.3g} % of reports collide, {acceptable:g} % is acceptable"
    return words + through, sent.load / limit


def _through(collision: float, tries: int) -> str:
    """Return words for how many reports get through in the end."""
    percent = 100 * delivered(collision, tries)
    share = f"{percent:.3g}" if percent < 99.95 else "over 99.9"
    return f"; {share} % get through in {tries} tries"
