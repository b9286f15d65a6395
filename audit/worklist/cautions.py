"""Cautions: what a step can do to alarms and outputs, be it at other devices than its own."""

from __future__ import annotations

from collections.abc import Iterable

from audit.model.device import DeviceType
from audit.model.roles import concerns_alarms
from audit.texts import parted, serial_of
from audit.worklist.devices import Device
from audit.worklist.drafts import Draft, Making

SCALING = {"unit", "range_low", "range_high"}
"""Roles whose change moves what an alarm means."""
NO_LINK = ("power", "address", "radio")
"""Phases of work that takes the link away; at a gateway, from all of its nodes."""
MOVES_VALUE = (*NO_LINK, "setting")
"""Phases of work that can change what a device says."""
VITAL = ("safety", "permit-limit")
"""Duties of nodes whose values somebody's life or a permit hangs on."""


def cautions_before(making: Making) -> list[str]:
    """Return the cautions that are told before the list, for the devices that it is about."""
    own = [draft.device for draft in making.drafts if draft.device]
    touched = [device for draft in making.drafts for device in _touched(making, draft)]
    kinds = _kinds([*own, *touched])
    applies = {
        "always": True,
        "alarms": any(concerns_alarms(s.role) for kind in kinds for s in kind.settings)
        or any(map(_is_vital, touched)),
        "moves_outputs": any(kind.moves_outputs for kind in kinds),
        "hazardous_area": any(kind.hazardous_area for kind in _kinds(own)),
    }
    texts = [caution.text for caution in making.work.cautions if applies[caution.when]]
    return [*texts, *making.audited.gate.cautions]


def cautions_beside(making: Making, draft: Draft) -> list[str]:
    """Return the cautions that are repeated beside a step."""
    device = draft.device
    if device is None or draft.at not in ("device", "host"):
        return []
    touched = _touched(making, draft)
    kinds = _kinds(touched)
    roles = {s.role for c in draft.changes if (s := device.block.type.setting(c.setting))}
    moves_alarms = draft.phase in NO_LINK or bool(roles & SCALING)
    about_alarms = any(map(concerns_alarms, roles)) or (moves_alarms and any(map(_has_alarms, kinds)))
    vital = draft.phase in MOVES_VALUE and any(map(_is_vital, touched))
    applies = {
        "always": False,
        "alarms": about_alarms or vital,
        "moves_outputs": any(kind.moves_outputs for kind in kinds),
        "hazardous_area": device.block.type.hazardous_area and draft.at == "device",
    }
    told = [caution.short for caution in making.work.cautions if caution.short and applies[caution.when]]
    return [*_other_box(device), *told] if draft.at == "device" and draft.changes else told


def _other_box(device: Device) -> list[str]:
    """Return that another serial number was read at a device than is planned: who goes by it errs."""
    _, i = device.order
    read = serial_of(device.block, i) if device.read else device.serial
    if not device.serial or read == device.serial:
        return []
    return [
        f"serial {read} was read here, planned is {device.serial}: go by tag and place, not by the number"
    ]


def _touched(making: Making, draft: Draft) -> list[Device]:
    """Return the devices whose values a step can move or take away: its own, and the nodes of a gateway."""
    device = draft.device
    if device is None or not (draft.changes or draft.phase in NO_LINK):
        return []
    if device.found.gateway and draft.phase in NO_LINK:
        return [one for one in making.devices.values() if one.network == device.network]
    return [device]


def _kinds(devices: Iterable[Device]) -> list[DeviceType]:
    return list({device.block.type.name: device.block.type for device in devices}.values())


def _has_alarms(kind: DeviceType) -> bool:
    return any(s.role.startswith("alarm_") for s in kind.settings)


def _is_vital(device: Device) -> bool:
    """Tell whether a trip or a permit hangs on what a device says."""
    duties = device.block.duties[device.order[1]]
    return any(duty.casefold() in VITAL for duty in parted(duties))
