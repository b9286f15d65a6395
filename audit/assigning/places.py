"""Where in the plan a proposed value goes."""

from __future__ import annotations

from audit.figures.surroundings import Device
from audit.judging.findings import evidence_place
from audit.model.device import Setting
from audit.model.suggestion import PlanChange


def change_of(device: Device, setting: Setting, after: str, why: str) -> PlanChange:
    """Return the change of a device's planned value to another."""
    value = device.block.value("planned", setting.name, device.i)
    place = device.block.planned_place(device.i, setting.name)
    return PlanChange(
        network=device.network,
        node=device.tag,
        setting=setting.name,
        before=value.shown if value.read else "",
        after=after,
        why=why,
        place=evidence_place(place) if value.read and place.file else None,
    )
