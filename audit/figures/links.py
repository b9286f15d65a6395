"""How strong links are: the margin above the sensitivity, and how much of the expected signal is missing."""

from __future__ import annotations

from audit.engineering.link_budget import (
    eirp_dbm,
    expected_rssi_dbm,
    fade_margin_db,
    missing_db,
    sensitivity_dbm,
)
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.paths import path_loss
from audit.figures.surroundings import NEAREST_M, Device, Surroundings, apart_m, has_column
from audit.model.radio import PathLoss
from audit.model.site import Block
from audit.model.value import Value

TRANSMITTER = ("radio_power", "antenna_gain", "feeder_loss")
ON_THE_WAY = (*TRANSMITTER, "frequency", "channel")
NO_FREQUENCY = "a frequency, or the frequencies of channels (channels in the plan)"


def sensitivity(around: Surroundings, device: Device) -> float | None:
    """Return the weakest signal that the gateway receives at a node's air rate, in dBm.

    If the gateway's type does not say, that of the node's type; None if neither does.
    """
    gateway, rate = around.gateway(device.network, device.side), _rate(around, device)
    for kind in (gateway.block.type, device.block.type) if rate.read else ():
        try:
            return sensitivity_dbm(kind.sensitivity_dbm, str(rate.content))
        except ValueError:
            continue
    return None


def antenna_lacks(device: Device) -> str:
    """Return what a device's antenna gain or feeder loss lacks for a sum; one not given counts as 0 dB.

    One in another unit must not: a gain of 9 dBd counted as 0 dBi would hide too much power.
    """
    for role, unit, what in (
        ("antenna_gain", "dBi", "an antenna gain in dBi"),
        ("feeder_loss", "dB", "a feeder loss in dB"),
    ):
        if device.value(role).read and device.number(role, unit) is None:
            return what
    return "a feeder loss of 0 dB or above" if (device.number("feeder_loss", "dB") or 0.0) < 0 else ""


def expected(around: Surroundings, device: Device, path: PathLoss | None) -> tuple[float, str] | Lacking:
    """Return the signal expected at the gateway in dBm, with its calculation; or what is missing for it."""
    power, distance = device.number("radio_power", "dBm"), around.distance_m(device)
    frequency, gateway = around.frequency_mhz(device), around.gateway(device.network, device.side)
    if power is None:
        return Lacking("a radio power")
    if lacks := antenna_lacks(device) or antenna_lacks(gateway):
        return Lacking(lacks)
    if distance is None:
        return Lacking(no_distance(around, device), names_devices=True)
    if not frequency or frequency < 0:
        return Lacking(NO_FREQUENCY)
    radiated = eirp_dbm(power, *_antenna(device))
    gain, feeder = _antenna(gateway)
    loss = path_loss(path, (device, gateway), distance, frequency)
    if isinstance(loss, Lacking):
        return loss
    lost, how = loss
    where = f"{distance:,.0f} m at {frequency:.10g} MHz"
    words = f"{terms(device)} − {lost:.1f} dB over {where} ({how}){_antenna_terms(gain, feeder)}"
    return expected_rssi_dbm(radiated, lost, gain, feeder), words


def _antenna(device: Device) -> tuple[float, float]:
    """Return a device's antenna gain in dBi and feeder loss in dB."""
    return device.number("antenna_gain", "dBi") or 0.0, device.number("feeder_loss", "dB") or 0.0


def no_distance(around: Surroundings, device: Device) -> str:
    """Return what is missing for the distance between a node and its gateway."""
    here, there = device.position, around.gateway(device.network, device.side).position
    if here is None or there is None:
        return "positions of node and gateway"
    if apart_m(here, there, nearest_m=0.0) is None:
        return "a position in the same coordinates as the gateway's"
    return f"a position at least {NEAREST_M:g} m from the gateway's"


def terms(device: Device) -> str:
    """Return a device's e.i.r.p. as a sum; what was not given is left out and counts as 0 dB."""
    return power_words(device.number("radio_power", "dBm") or 0.0) + _antenna_terms(*_antenna(device))


def power_words(power_dbm: float) -> str:
    """Return a power to the hundredth of a dBm, as limits are given: 25 mW are 13.98 dBm."""
    return f"{round(power_dbm, 2):g} dBm"


def _antenna_terms(gain: float, loss: float) -> str:
    """Return what an antenna and its feeder add to a sum."""
    return (f" + {gain:g} dBi" if gain else "") + (f" − {loss:g} dB feeder" if loss else "")


def margin_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for calculating their link margin."""
    kinds = [block.type, *(b.type for b in around.site.blocks if b.gateway)]
    if not any(kind.sensitivity_dbm for kind in kinds):
        return "a sensitivity in the device types"
    role = "rssi" if side == "found" else "radio_power"
    words = "a signal strength reading" if side == "found" else "a radio power"
    return "" if has_column(block, side, role) else words


def link_margin(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return how far a node's signal is above the sensitivity: as read, or as expected from the plan."""
    signal = device.number("rssi", "dBm", read=True) if device.side == "found" else None
    if device.side == "found" and signal is None:
        return Lacking("a signal strength reading")
    least = sensitivity(around, device)
    if least is None:
        return Lacking("the sensitivity at the air rate")
    limit = f"{least:g} dBm, the sensitivity at {_rate(around, device).shown}"
    if signal is not None:
        words = f"signal {signal:g} dBm − ({limit})"
        return Calculated(value=fade_margin_db(signal, least), sum=words, roles=("rssi",))
    path = around.radio(device.network).path
    found = expected(around, device, path)
    if isinstance(found, Lacking):
        return found
    wanted, words = found
    note = "" if path else "free space, the best that a path can be"
    words = f"{words} = {wanted:.1f} dBm, against {limit}"
    margin = fade_margin_db(wanted, least)
    return Calculated(value=margin, sum=words, roles=TRANSMITTER, note=note)


def _rate(around: Surroundings, device: Device) -> Value:
    rate = device.value("air_rate")
    return rate if rate.read else around.gateway(device.network, device.side).value("air_rate")


def power_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for calculating the signal that their gateway should receive."""
    given = any(has_column(block, of, "radio_power") for of in ("planned", side))
    return "" if given else "a radio power"


def expected_signal(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the signal expected at a node's gateway, in dBm, by the plan's model of the path."""
    path = around.radio(device.network).path
    found = expected(around, device, path)
    if isinstance(found, Lacking):
        return found
    value, words = found
    return Calculated(value=value, sum=words, roles=TRANSMITTER)


def signal_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for comparing their signals with what their paths predict."""
    if not has_column(block, side, "rssi"):
        return "a signal strength reading"
    return power_lacks(around, block, side)


def missing_signal(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return how many decibels of the expected signal are missing; below 0: it is stronger.

    A signal is odd if it is far below free space, or less far below the plan's own model of the path, or
    above free space by more than two rays in phase can give, 6 dB.
    """
    signal = device.number("rssi", "dBm", read=True)
    if signal is None:
        return Lacking("a signal strength reading")
    free = expected(around, device, None)
    if isinstance(free, Lacking):
        return free
    stronger = missing_db(free[0], signal) < -assumed["two_rays_db"]
    path = around.radio(device.network).path
    by_path = None if stronger or path is None else expected(around, device, path)
    wanted, words = by_path if by_path and not isinstance(by_path, Lacking) else free
    value = missing_db(wanted, signal)
    high = assumed["beyond_path_db" if wanted is not free[0] else "beyond_free_space_db"]
    sum_ = f"{words} = {wanted:.1f} dBm expected, {signal:g} dBm read"
    return Calculated(value=value, sum=sum_, roles=("rssi",), low=-assumed["two_rays_db"], high=high)
