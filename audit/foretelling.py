"""Foretelling: which values slips would turn the plan into, worked out before anything is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from audit.asking import AskedDevice
from audit.model.device import Setting
from audit.model.value import Value
from audit.slips.around import Around
from audit.slips.surroundings import around
from audit.slips.table import tabulated


def tables_of_slips(elevation_m: float | None) -> Callable[[AskedDevice, Setting], Mapping[str, str]]:
    """Return a function that gives, for a setting of a device, found value → the slip in words.

    `elevation_m` is the site's height above sea level in metres. Each table is made once for all devices
    with the same planned value in the same surroundings.
    """
    made: dict[tuple[str, str, Value, Around], Mapping[str, str]] = {}

    def table(device: AskedDevice, setting: Setting) -> Mapping[str, str]:
        value = device.planned(setting)
        if value is None:
            return {}
        beside = around(device.block, device.i, setting, elevation_m)
        key = (device.type.name, setting.name, value, beside)
        if key not in made:
            made[key] = tabulated(setting, value, beside)
        return made[key]

    return table
