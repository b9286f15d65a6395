"""Stating units: a bare number is not shown in the planned unit if the device was found in another one.

A number without a unit is taken to be in its setting's unit, and shown with it. Where the device was found in
another unit, nobody has written the planned one, and a report must not claim it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from audit.comparing import same, unlike
from audit.model.device import AT_THE_DEVICE, Setting
from audit.model.roles import DIFFERENCES
from audit.model.site import Block
from audit.model.value import Value
from audit.reading import units
from audit.reading.identifiers import bare

_NUMBER = re.compile(r"[-+−]?[\d.,' ]+([eE][-+]?\d+)?")


def as_stated(block: Block) -> Block:
    """Return the block with bare numbers shown without the planned unit, on devices found in another unit."""
    restated: dict[str, dict[int, Value]] = defaultdict(dict)
    for selector in block.settings("unit"):
        for i in _in_another_unit(block, selector):
            for setting in measured_in(block, selector, i):
                text = _bare_text(block, setting, i)
                if text:
                    unit = block.found[selector.name][i]
                    shown = f"{text} (unit found: {unit.shown})"
                    value = replace(block.found[setting.name][i], shown=shown, unit=str(unit.content))
                    restated[setting.name][i] = value
    if not restated:
        return block
    changed = {name: block.found[name].changed(values) for name, values in restated.items()}
    return replace(block, found={**block.found, **changed})


def in_its_own_unit(value: Value, setting: Setting) -> Decimal | None:
    """Return the number of a value converted into the unit of its setting.

    None where it has no number, or one that cannot be converted.
    """
    if value.number is None or not value.unit:
        return value.number
    return units.convert(value.number, value.unit, setting.unit, difference=setting.role in DIFFERENCES)


def numbers_as_planned(block: Block, selector: Setting, i: int) -> int:
    """Return how many numbers of a device found in another unit are as planned; 0 if any of them is not."""
    count = 0
    for setting in measured_in(block, selector, i):
        found, planned = block.found[setting.name][i], block.value("planned", setting.name, i)
        if found.unit and planned.read:
            number = in_its_own_unit(found, setting)
            if number is None or not same(Value(number, converted=True), planned, setting):
                return 0
            count += 1
    return count


def is_planned_number(block: Block, setting: Setting, i: int) -> bool:
    """Tell whether a device that was found in another unit shows the planned number, rounded or not."""
    found, planned = block.value("found", setting.name, i), block.value("planned", setting.name, i)
    number = in_its_own_unit(found, setting)
    if number is None or planned.number is None or not found.unit:
        return False
    decimals = re.split("[.,]", found.shown.partition(" ")[0])[1:]
    half = Decimal("0.5").scaleb(-len(decimals[-1]) if decimals else 0)
    rounded = units.convert(half, found.unit, setting.unit, difference=True)
    return same(Value(number, converted=True), planned, setting) or (
        rounded is not None and abs(number - planned.number) <= abs(rounded)
    )


def _in_another_unit(block: Block, selector: Setting) -> list[int]:
    """Return the devices that were found in another unit than planned."""
    planned, found = block.planned.get(selector.name), block.found.get(selector.name)
    if planned is None or found is None:
        return []
    return [i for i in unlike(planned, found) if planned[i].read and found[i].read]


def measured_in(block: Block, selector: Setting, i: int) -> Iterator[Setting]:
    """Yield the settings of a device that are read at it, in the unit planned for the selector."""
    unit = str(block.planned[selector.name][i].content)
    for setting in block.type.settings:
        at_device = setting.read_at in AT_THE_DEVICE and setting.input == selector.input
        if at_device and setting.name in block.found and units.alike(setting.unit, unit):
            yield setting


def selectors_of(block: Block, setting: Setting) -> list[Setting]:
    """Return the settings that select the unit of a setting's numbers."""
    return [selector for selector in block.settings("unit") if selector.input == setting.input]


def _bare_text(block: Block, setting: Setting, i: int) -> str:
    """Return the text of a reading without a unit; empty where its cell or heading states one."""
    readings = block.readings(i, setting.name)
    if block.found[setting.name][i].number is None or not readings:
        return ""
    table, entry = readings[0]
    column = table.columns[setting.name]
    text = bare(column.texts[entry])
    return text if not column.style.unit and _NUMBER.fullmatch(text) else ""
