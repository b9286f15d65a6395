"""Surroundings: what the plan and earlier readings say around one setting of one device."""

from __future__ import annotations

import datetime

from audit.checks.one_input import range_ends
from audit.model.device import Setting
from audit.model.roles import RANGE_ENDS
from audit.model.site import Block
from audit.model.value import BLANK, Value
from audit.reading.moments import day_alone, in_order, moment, states_offset
from audit.reading.units import split
from audit.reading.values import parse
from audit.slips.around import ALONE, Around

PAIRS = {
    "range_low": "range_high",
    "alarm_low": "alarm_high",
    "alarm_low_low": "alarm_high_high",
    "host_low": "host_high",
}
"""Roles of settings that are mistaken for each other, low → high."""
A_MOMENT = datetime.timedelta(minutes=2)
"""In less time nobody changes a setting, leaves the menu, and reads it again. Judgement."""
_OTHER = PAIRS | {high: low for low, high in PAIRS.items()}


def around(block: Block, i: int, setting: Setting, elevation_m: float | None = None) -> Around:
    """Return what the plan for the device at `i` says around a setting, and its earlier reading."""
    if setting.kind == "secret":
        return ALONE
    pair = _alike(block, setting, _OTHER.get(setting.role, ""))
    shared = range_ends(block, [setting])
    ends: list[Setting | None] = [*shared] or [_alike(block, setting, role) for role in RANGE_ENDS]
    low, high = (_planned(block, i, end) if all(ends) else BLANK for end in ends)
    sensor = block.type.sensors.get(setting.input) if all(ends) and not shared else None
    raw = block.planned_place(i, setting.name).raw if setting.name in block.planned else ""
    return Around(
        baseline=_read_before(block, i, setting),
        elevation_m=elevation_m,
        range_low=low,
        range_high=high,
        range_unit=shared[0].unit if shared else "",
        sensor=(sensor.low, sensor.high) if sensor else None,
        pair=_planned(block, i, pair),
        pair_name=pair.name if pair else "",
        planned_text=raw,
    )


def _read_before(block: Block, i: int, setting: Setting) -> Value:
    """Return the value of the reading before the newest one of a setting, BLANK if there is none.

    A reading taken a moment before does not count, such as when `enter` asks for a value again: the device
    has not been set in between. Nor does one of the same time, or without a time: it may be a copy.
    """
    readings = block.readings(i, setting.name)
    times = [table.texts("read_at")[entry] for table, entry in readings]
    for (table, entry), time in list(zip(readings, times, strict=True))[1:]:
        if in_order(time, times[0]) and not _looked_again(time, times[0]):
            column = table.columns[setting.name]
            return parse(column.texts[entry], setting, column.style)
    return BLANK


def _looked_again(time: str, newest: str) -> bool:
    """Tell whether two readings are so close together that nobody has set anything in between."""
    one, other = moment(time), moment(newest)
    if one is None or other is None or day_alone(time) or day_alone(newest):
        return False
    return states_offset(time) == states_offset(newest) and abs(other - one) < A_MOMENT


def _alike(block: Block, setting: Setting, role: str) -> Setting | None:
    """Return the setting of the same input with a given role, if it is a number in the same unit."""
    if not role or not setting.numeric:
        return None
    of_input = (s for s in block.type.by_role(role) if s.input == setting.input)
    return next((s for s in of_input if split(s.unit)[0] == split(setting.unit)[0]), None)


def _planned(block: Block, i: int, setting: Setting | None) -> Value:
    return block.value("planned", setting.name, i) if setting else BLANK
