"""Surroundings: what the plan says around one setting of one device."""

from __future__ import annotations

from audit.model.device import Setting
from audit.model.site import Block
from audit.model.value import BLANK, Value
from audit.reading.units import split
from audit.reading.values import parse
from audit.slips.around import ALONE, Around

PAIRS = {
    "range_low": "range_high",
    "alarm_low": "alarm_high",
    "alarm_low_low": "alarm_high_high",
    "host_low": "host_high",
}
"""Roles of settings that are exchanged for each other, low → high."""
_OTHER = PAIRS | {high: low for low, high in PAIRS.items()}


def around(block: Block, i: int, setting: Setting, elevation_m: float | None = None) -> Around:
    """Return what the plan of the device at `i` says around a setting, and what was read of it before."""
    if setting.kind == "secret":
        return ALONE
    pair = _alike(block, setting, _OTHER.get(setting.role, ""))
    ends = [_alike(block, setting, role) for role in ("range_low", "range_high")]
    low, high = (_planned(block, i, end) if all(ends) else BLANK for end in ends)
    sensor = block.type.sensors.get(setting.input) if all(ends) else None
    raw = block.planned_place(i, setting.name).raw if setting.name in block.planned else ""
    return Around(
        baseline=_read_before(block, i, setting),
        elevation_m=elevation_m,
        range_low=low,
        range_high=high,
        sensor=(sensor.low, sensor.high) if sensor else None,
        pair=_planned(block, i, pair),
        pair_name=pair.name if pair else "",
        planned_text=raw,
    )


def _read_before(block: Block, i: int, setting: Setting) -> Value:
    """Return what the reading before the newest one of a setting says, BLANK where there is none."""
    columns = (
        [(table.columns.get(setting.name), entry) for table, entry in block.rows[i]] if block.rows else []
    )
    readings = [(column, column.texts[entry]) for column, entry in columns if column]
    given = [(column, text) for column, text in readings if not column.style.is_blank(text)]
    if len(given) < 2:
        return BLANK
    column, text = given[-2]
    return parse(text, setting, column.style)


def _alike(block: Block, setting: Setting, role: str) -> Setting | None:
    """Return the setting of the same input that has a role, if it is a number in the same unit."""
    if not role or not setting.numeric:
        return None
    of_input = (s for s in block.type.by_role(role) if s.input == setting.input)
    return next((s for s in of_input if split(s.unit)[0] == split(setting.unit)[0]), None)


def _planned(block: Block, i: int, setting: Setting | None) -> Value:
    return block.value("planned", setting.name, i) if setting else BLANK
