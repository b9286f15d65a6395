"""Battery voltage read under load: against the device's cut-off, and against that of a used-up battery."""

from __future__ import annotations

from typing import Literal

from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.surroundings import Device, Surroundings, has_column
from audit.model.battery import AT_C, Battery
from audit.model.site import Block
from audit.reading.values import plain

VOLTS, WARMTH = "battery_volts", "device_temperature"


def lacks(around: Surroundings, block: Block, side: str, *, limit: Literal["low_v", "cutoff_v"]) -> str:
    """Return what all nodes of a block lack for comparing a battery with one of its limits."""
    if not has_column(block, side, VOLTS):
        return "a battery voltage reading"
    known = getattr(block.type.battery, limit, None) is not None
    return "" if known else f"the battery's {limit} in the device type"


def volts(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return a battery's voltage as read; the device switches off below the cut-off, however cold it is."""
    battery, read = device.block.type.battery, device.number(VOLTS, "V", read=True)
    if battery is None or read is None:
        return Lacking("a battery voltage reading")
    by = "the device's cut-off"
    return Calculated(value=read, sum="", roles=(VOLTS,), low=battery.cutoff_v, by=by)


def volts_when_warm(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return a battery's voltage as it would be at 20 °C: a cold battery reads low without being used up.

    As read, if no temperature was read or the device type does not give the volts per kelvin.
    """
    battery, read = device.block.type.battery, device.number(VOLTS, "V", read=True)
    if battery is None or read is None:
        return Lacking("a battery voltage reading")
    warmth = device.number(WARMTH, "°C", read=True)
    fall, value, words = battery.volts_per_kelvin, read, ""
    if fall and warmth is None:
        words = "as read, at a temperature that was not read"
    elif fall and warmth is not None:
        value += fall * (AT_C - warmth)
        words = f"{read:g} V read at {warmth:g} °C, {fall:g} V less for each kelvin below {AT_C:g} °C"
    elif warmth is not None and warmth < AT_C:
        words = f"as read at {warmth:g} °C, with no volts_per_kelvin allowed for the cold"
    by = "the battery's low voltage"
    return Calculated(value=value, sum=words, roles=(VOLTS, WARMTH), low=battery.low_v, by=by)


def how_low(battery: Battery | None, volts: float) -> str:
    """Return in words how low a voltage read at an unknown temperature is; empty if it is not low.

    If cold lowers the voltage, only the cut-off counts.
    """
    if battery and battery.cutoff_v is not None and volts < battery.cutoff_v:
        return f"below the device's cut-off of {plain(battery.cutoff_v)} V"
    if battery and battery.low_v is not None and volts < battery.low_v and not battery.volts_per_kelvin:
        return f"below {plain(battery.low_v)} V, at which it is due to be changed"
    return ""
