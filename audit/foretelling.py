"""Foretelling: what each value that a slip could make of the plan will look like, before anything is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from audit.asking import AskedDevice
from audit.model.device import Setting
from audit.model.value import Value
from audit.slips.around import Around
from audit.slips.surroundings import around
from audit.slips.table import tabulated


def tables_of_slips(elevation_m: float | None) -> Callable[[AskedDevice, Setting], Mapping[str, str]]:
    """Return a function that gives, for a setting of a device, found value → words of the slip.

    `elevation_m` is the site's height above sea level in metres. Where the same is planned in the same
    surroundings, the table is made once.
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
