"""Cautions: what a step can do to alarms and outputs, even at other devices than its own."""

from __future__ import annotations

from collections.abc import Iterable

from audit.model.device import DeviceType
from audit.model.roles import RANGE_ENDS, concerns_alarms
from audit.pairing.identifying import is_another
from audit.texts import field_of, parted, serial_of
from audit.worklist.devices import Device
from audit.worklist.drafts import Draft, Making

SCALING = {"unit", *RANGE_ENDS}
"""Roles whose change alters what an alarm means."""
NO_LINK = ("power", "address", "radio")
"""Phases of work that interrupt the link; at a gateway, the links of all its nodes."""
MOVES_VALUE = (*NO_LINK, "setting")
"""Phases of work that can change what a device reports."""
VITAL = ("safety", "permit-limit")
"""Duties of nodes whose values protect people, or decide about a permit limit."""


def cautions_before(making: Making) -> list[str]:
    """Return the cautions that come before the list, for the devices that it is about."""
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
    short = [caution.short for caution in making.work.cautions if caution.short and applies[caution.when]]
    return [*_other_serial(device), *short] if draft.at == "device" and draft.phase != "look" else short


def _other_serial(device: Device) -> list[str]:
    """Return a caution if the serial number read at a device is not the planned one, and so misleads."""
    read = serial_of(device.block, device.i) if device.read else device.serial
    if not device.serial or read == device.serial:
        return []
    tag = field_of(device.block, device.i, "tag")
    if is_another(tag, device.tag):
        return [
            f"tag {tag}, serial {read} were read here, but {device.tag}, serial {device.serial} are planned: "
            "make sure which device this is before anything is set"
        ]
    return [
        f"serial {read} was read here, but {device.serial} is planned: go by tag and place, "
        "not by serial number"
    ]


def _touched(making: Making, draft: Draft) -> list[Device]:
    """Return the devices whose values a step can change or interrupt: its own, and the nodes of a gateway."""
    device = draft.device
    if device is None or not (draft.changes or draft.phase in NO_LINK):
        return []
    if device.gateway and draft.phase in NO_LINK:
        return [one for one in making.devices.values() if one.network == device.network]
    return [device]


def _kinds(devices: Iterable[Device]) -> list[DeviceType]:
    return list({device.block.type.name: device.block.type for device in devices}.values())


def _has_alarms(kind: DeviceType) -> bool:
    return any(s.role.startswith("alarm_") for s in kind.settings)


def _is_vital(device: Device) -> bool:
    """Return whether a trip or a permit depends on what a device reports."""
    duties = device.block.duties[device.i]
    return any(duty.casefold() in VITAL for duty in parted(duties))
