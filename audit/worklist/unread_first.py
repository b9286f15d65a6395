"""What has to be read or set before something is keyed in elsewhere.

Nodes are set to their gateway's radio only once the gateway was read: if it is not as planned, they would be
stranded. If a network moves, a node that was not read is set only if it is found as planned. A node whose
address was not read joins only if it shows the planned one, or it could be at another's. A gateway that
its nodes cannot hear is set before anything is proved at them. A node at the planned address of another one
that was not read moves only once the other was read: the two may have been swapped.
"""

from __future__ import annotations

from collections.abc import Mapping

from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.value import Value
from audit.worklist.devices import Device
from audit.worklist.drafts import Draft, Making, joined, step_mark
from audit.worklist.holders import ADDRESS
from audit.worklist.radio import Way


def read_gateways_first(making: Making) -> None:
    """Let nodes wait for their gateway to be read, and be set only if it shows what they are to get.

    A node that is to get what its gateway has, whatever that is, waits for it too.
    """
    gateways = making.gateways
    for draft in making.drafts:
        if draft.device is None or draft.device.gateway:
            continue
        gateway = gateways[draft.device.network]
        unread = {one.role for one in draft.sets if one.role != ADDRESS and not gateway.is_read(one.role)}
        if unread:
            needed = {setting: wanted for setting, _, wanted in draft.to_be if setting.role in unread}
            _hold(making, draft, gateway, needed)
        elif draft.at == "device" and draft.phase not in ("look", "read"):
            asked = {making.roles[name] for name in draft.asks}.intersection(NETWORK_ROLES)
            if not all(map(gateway.is_read, asked)):
                draft.needs.update(_reading(making, gateway))


def read_nodes_first(making: Making) -> None:
    """Let a node be read before it is set, and set only if it shows what it is to be set from.

    If it is to join a network, it has to show its planned address too.
    """
    for draft in making.drafts:
        device = draft.device
        if device is None or not draft.sets:
            continue
        settings = [setting for setting, _, _ in draft.to_be]
        address = device.setting(ADDRESS)
        if address and address not in settings and device.planned.address is not None:
            settings.append(address)
        needed = {
            setting: device.value("planned", setting) for setting in settings
            if not device.is_read(setting.role)
        }  # fmt: skip
        if needed:
            _hold(making, draft, device, needed)


def set_gateways_first(making: Making, ways: Mapping[str, Way]) -> None:
    """Let the work at nodes wait for their gateway, if it is to be set to what they have already.

    Until then no node is heard, so no expectation can be met. Looking and reading need no gateway.
    """
    alone = {name for name, way in ways.items() if way.gateway and (way.gateway_first or not way.nodes)}
    steps = {
        draft.network: n for n, draft in enumerate(making.drafts)
        if draft.network in alone and draft.sets and draft.device and draft.device.gateway
    }  # fmt: skip
    for draft in making.drafts:
        at_node = draft.at == "device" and draft.device and not draft.device.gateway
        if at_node and draft.network in steps and draft.phase not in ("look", "read"):
            draft.needs.add(steps[draft.network])


def read_addresses_first(making: Making) -> None:
    """Let a node that was found at the planned address of another wait until that one is read."""
    unread = {
        (device.network, device.planned.address): device for device in making.devices.values()
        if device.planned.address is not None and not device.is_read(ADDRESS)
    }  # fmt: skip
    for draft in making.drafts if unread else ():
        device = draft.device
        other = unread.get((device.network, device.found.address)) if device else None
        after = next((one.after for one in draft.sets if one.role == ADDRESS), None)
        reading = _reading(making, other) if other and other is not device else []
        if other and reading and after is not None:
            draft.needs.update(reading)
            says = f"step {step_mark(reading[0])}: {other.tag} does not show address {after}"
            draft.hold = joined([f"{says}; if it does, leave it and make a new list", draft.hold])


def _reading(making: Making, device: Device) -> list[int]:
    """Return the steps in which a device is read."""
    return [
        n for n, draft in enumerate(making.drafts)
        if draft.device is device and draft.at == "device" and draft.phase == "read"
    ]  # fmt: skip


def _hold(making: Making, draft: Draft, device: Device, needed: Mapping[Setting, Value]) -> None:
    """Let a step wait until a device is read, and be done only if it shows some values."""
    reading = _reading(making, device)
    draft.needs.update(reading)
    shown = " and ".join(
        f"{setting.label or setting.name} {value.shown}" for setting, value in needed.items()
    )
    step = f"step {step_mark(reading[0])}: " if reading else ""
    says = f"{step}{device.tag} shows {shown}; if not, leave it and make a new list"
    draft.hold = joined([says, draft.hold])
