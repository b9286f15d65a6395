"""Battery life: how many years a node's battery lasts at its report interval and air rate."""

from __future__ import annotations

from audit.engineering.battery import Draw, average_current_ma, life_years, transmitting, usable_capacity_ah
from audit.engineering.discharge import part_usable
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.reports import REPORTING, report_lacks, report_of, sent_on_average
from audit.figures.surroundings import Device, Surroundings
from audit.model.battery import Battery
from audit.model.radio import Message
from audit.model.site import Block
from audit.phrases import rounded


def lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for calculating their battery life."""
    if block.type.battery is None:
        return "battery data in the device type"
    plan = around.site.plan
    if not (plan.service_interval_years or any(one.service_interval_years for one in plan.networks)):
        return "a service interval in the plan"
    return report_lacks(around, block, side)


def battery_life(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return how long a node's battery lasts, in years, with repeats where they are known."""
    battery, message = device.block.type.battery, device.block.type.message
    years = around.service_years(device.network)
    if battery is None or message is None or years is None:
        return Lacking("a service interval in the plan")  # the others are lacking for whole types
    report = report_of(around, device)
    if isinstance(report, Lacking):
        return report
    sends, repeats = sent_on_average(around, device)
    flowing = draws(battery, message, frame_s=report.frame_s, interval_s=report.interval_s, sends=sends)
    try:
        average = average_current_ma(battery.sleep_ua / 1000, flowing)
    except ValueError:  # busy for more time than there is: the battery has no life to speak of
        return Lacking("intervals longer than it takes to send, listen and measure")
    if average <= 0:
        return Lacking("a current above 0")
    usable, share = usable_ah(battery)
    life = life_years(usable, average, battery.self_discharge_percent / 100)
    each = "".join(
        f", {draw.current_ma:g} mA for {rounded(draw.duration_s)} s every {draw.interval_s:g} s to {what}"
        for what, draw in zip(("send", "listen", "measure"), flowing, strict=True) if draw.duration_s
    )  # fmt: skip
    lost = battery.self_discharge_percent
    loss = f", less self-discharge of {lost:g} % a year" if lost else ""
    words = (
        f"{rounded(usable)} Ah usable{share} ÷ {rounded(average)} mA on average ({battery.sleep_ua:g} µA "
        f"asleep{each}; {repeats}){loss}"
    )
    by = "the plan's service interval"
    return Calculated(value=life, sum=words, roles=REPORTING, low=years, by=by)


def usable_ah(battery: Battery) -> tuple[float, str]:
    """Return the usable capacity, in Ah, and words for the share that a discharge curve leaves of it."""
    cold = battery.usable_percent / 100
    if battery.discharge is None or battery.cutoff_v is None:
        return usable_capacity_ah(battery.capacity_ah, temperature=cold), ""
    curve = [(percent / 100, volts) for percent, volts in battery.discharge]
    pulse, ohm = battery.largest_ma, battery.resistance_ohm
    above = part_usable(curve, battery.cutoff_v, sag_v=pulse / 1000 * ohm)
    words = f"{100 * above:.3g} % of {battery.capacity_ah:g} Ah above {battery.cutoff_v:g} V"
    words += f" at {pulse:g} mA through {ohm:g} ohm" if ohm else ""
    words += f", {battery.usable_percent:g} % of that in the cold" if cold < 1 else ""
    return usable_capacity_ah(battery.capacity_ah, temperature=cold, cut_off=above), f" ({words})"


def draws(
    battery: Battery, message: Message, *, frame_s: float, interval_s: float, sends: float = 1.0
) -> list[Draw]:
    """Return the currents that flow on top of the sleep current: to send, to listen, to measure.

    A report is sent `sends` times on average; the node listens after each.
    """
    sensing = message.sense_interval_s or interval_s
    return [
        transmitting(battery.transmit_ma, frame_s, interval_s, sends),
        Draw(battery.receive_ma, battery.receive_s * sends, interval_s),
        Draw(battery.sense_ma, battery.sense_s, sensing),
    ]
