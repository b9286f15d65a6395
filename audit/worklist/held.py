"""What is held back: changes that cannot be made without harm, with what to free or settle first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import permutations

from audit.comparing import same
from audit.model.device import Setting
from audit.model.plan import Network
from audit.model.roles import NETWORK_ROLES
from audit.model.worklist import HeldBack
from audit.phrases import listed
from audit.worklist.devices import UNPLANNED, Device
from audit.worklist.drafts import Making, joined
from audit.worklist.holders import ADDRESS, Key, State
from audit.worklist.moves import Stuck
from audit.worklist.spares import suggestion

MOST_TAGS = 12
"""Devices named in a message."""


def hold_back(
    making: Making, stuck: Stuck, by_key: Mapping[Key, Device], state: State, networks: Mapping[str, Network]
) -> None:
    """Note that some changes are held back; that deals with their findings."""
    devices = [by_key[key] for key in stuck.devices]
    findings: list[int] = []
    changes = []
    for device, sets in zip(devices, stuck.changes, strict=True):
        for one in sets:
            setting = device.setting(one.role)
            if setting is not None:
                planned = device.value("planned", setting).shown
                changes.append(f"{device.tag}: {setting.name} {device.shown(one.role)} → {planned}")
                findings += making.wanted.get((device.order, setting.name), [])
    why, mend = _why_and_mend(stuck, by_key, state, networks)
    _add(making, devices, joined(changes), why, mend, findings)


def hold_back_disputed(making: Making, devices: Sequence[Device], address: str) -> None:
    """Note that devices keep their addresses, since the plan gives all of them the same one."""
    findings = [
        n for device in devices if (setting := device.setting(ADDRESS))
        for n in making.wanted.get((device.order, setting.name), ())
    ]  # fmt: skip
    tags = listed([device.tag for device in devices], MOST_TAGS)
    _add(making, devices, f"{tags}: address → {address}", f"the plan gives address {address} to {tags}",
         "give each an address of its own in the plan, then make a new list", findings)  # fmt: skip


def hold_back_exchanged(making: Making) -> set[Key]:
    """Hold back the settings of two swapped units that show what is planned for the other.

    It is not known yet which unit is to be which device, so these settings are no longer wanted changed.
    Return the units whose radio is held back: set for the other's network, and not for their own.
    """
    abroad: set[Key] = set()
    for n, item in enumerate(making.items):
        if item.rule.id != "units-swapped" or n in making.waived:
            continue
        pair = [d for d in making.devices.values() if d.order == item.hit.order or d.tag in item.hit.others]
        findings: list[int] = []
        changes = []
        for device, other in permutations(pair, 2):
            for setting in _set_for(device, other):
                found, planned = device.value("found", setting), device.value("planned", setting)
                changes.append(f"{device.tag}: {setting.name} {found.shown} → {planned.shown}")
                findings += making.wanted.pop((device.order, setting.name), [])
                abroad |= {device.key} if setting.role in NETWORK_ROLES else set()
        if findings:
            why = "the two units were swapped, and each shows here what is planned for the other"
            mend = "see which unit belongs where, and swap the units or correct the plan's serial numbers; "
            mend += "read again and make a new list"
            _add(making, pair, joined(changes), why, mend, findings)
    return abroad


def _set_for(device: Device, other: Device) -> Iterator[Setting]:
    """Yield the settings of a device that are not as planned for it, but as planned for another."""
    for setting in device.block.type.settings:
        theirs = other.block.type.setting(setting.name)
        if theirs is not None and device.differs(setting):
            planned = other.value("planned", theirs)
            if planned.read and same(device.value("found", setting), planned, setting):
                yield setting


def _add(
    making: Making, devices: Sequence[Device], change: str, why: str, mend: str, findings: Sequence[int]
) -> None:
    making.held_for.update(findings)
    making.held.append(
        HeldBack(
            network=devices[0].network,
            devices=[device.tag for device in devices],
            change=change,
            why=why,
            mend=mend,
            findings=[making.ids[n] for n in dict.fromkeys(findings)],
        )
    )


def also_held(making: Making, finding: int, others: Sequence[int]) -> None:
    """Record that a finding is held back together with others: by the changes that hold those back."""
    ids = {making.ids[n] for n in others}
    making.held_for.add(finding)
    making.held[:] = [
        one if ids.isdisjoint(one.findings)
        else one.model_copy(update={"findings": list(dict.fromkeys([*one.findings, making.ids[finding]]))})
        for one in making.held
    ]  # fmt: skip


def _why_and_mend(
    stuck: Stuck, by_key: Mapping[Key, Device], state: State, networks: Mapping[str, Network]
) -> tuple[str, str]:
    """Return why changes are held back, and what to do to go on."""
    why = _why(stuck, by_key, state)
    if not stuck.lacks_spare:
        where = "" if _has_gateway(stuck, state) else f"free address {_wanted(stuck, state)}: "
        freed = list(dict.fromkeys(_freed(key, by_key) for key in stuck.held_by))
        return why, f"{where}{'; '.join(freed[:MOST_TAGS])}; read again and make a new list"
    network = networks[stuck.devices[0][0]]
    nodes = [device for device in by_key.values() if device.network == network.name]
    free = suggestion(network, networks.values(), nodes, state)
    block = network.addresses
    in_block = f"from {block.first} to {block.last} " if block else ""
    state_one = f", or state a spare that nobody else uses, for instance --spare {free}" if free else ""
    return (
        f"{why}: no address {in_block}is free both as found and as planned",
        f"free one address {in_block}(take out a node that is not needed, or amend the plan){state_one}",
    )


def _why(stuck: Stuck, by_key: Mapping[Key, Device], state: State) -> str:
    who = listed([_who(key, by_key) for key in stuck.held_by], MOST_TAGS)
    one = len(stuck.held_by) == 1
    if stuck.leaves_them:
        return f"the gateway would no longer hear {who}, whose radio stays as it is"
    if _has_gateway(stuck, state):
        be = "is" if one else "are"
        alone = "moving the gateway alone would strand the others"
        return f"not all nodes can move with the gateway, since {who} {be} in the way, and {alone}"
    if not who:
        return "each waits for another's address, so one of them would first have to move to a spare address"
    if stuck.lacks_spare:
        detour = "so it would first have to move to a spare address"
        return f"whichever setting is keyed in first, it collides with {who}, {detour}"
    return f"address {_wanted(stuck, state)} is held by {who}, which {'does' if one else 'do'} not move"


def _has_gateway(stuck: Stuck, state: State) -> bool:
    return any(state[key].gateway for key in stuck.devices)


def _wanted(stuck: Stuck, state: State) -> object:
    """Return the address that has to be free."""
    wanted = [one.after for changes in stuck.changes for one in changes if one.role == ADDRESS]
    return wanted[0] if wanted else state[stuck.held_by[0]].address


def _who(key: Key, by_key: Mapping[Key, Device]) -> str:
    device = by_key.get(key)
    if device is None:
        return key[1]
    return f"{device.tag} (not read)" if not device.read else device.tag


def _freed(key: Key, by_key: Mapping[Key, Device]) -> str:
    device = by_key.get(key)
    if device is None:
        return f"find {key[1].removesuffix(f' ({UNPLANNED})')}, and plan it or take it out"
    if not device.read:
        return f"read {device.tag}"
    return f"first settle why {device.tag} stays there"
