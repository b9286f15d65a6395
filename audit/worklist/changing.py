"""Steps about all other settings: a device's in one visit, each as planned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.value import BLANK
from audit.model.work import Phase, SettingWork
from audit.worklist.devices import Device
from audit.worklist.drafts import Draft, Making, change_of, drafted, within
from audit.worklist.holders import ADDRESS, Key, key_order

JOINING = (ADDRESS, *NETWORK_ROLES)
"""Roles whose changes are planned together (joining.py)."""
NOT_KEYED_AT = ("label", "document", "gateway")
"""Where a value is only read."""


def add_changes(making: Making) -> None:
    """Add a step for each setting that differs from the plan and that somebody has asked to be changed."""
    for device in sorted(making.devices.values(), key=lambda device: key_order(device.key)):
        for setting in _settings(making, device):
            making.add(_draft(making, device, setting), making.wanted[device.order, setting.name])


def _settings(making: Making, device: Device) -> Iterator[Setting]:
    """Yield the settings of a device to be changed, in display order."""
    for setting in device.block.type.settings:
        keyed = setting.read_at not in NOT_KEYED_AT and setting.kind != "secret"
        own = setting.role not in JOINING or setting is not device.setting(setting.role)
        if (
            keyed
            and own
            and setting.role not in making.work.never_set
            and (device.order, setting.name) in making.wanted
            and device.differs(setting)
        ):
            yield setting


def _draft(making: Making, device: Device, setting: Setting) -> Draft:
    manner = making.work.for_role(setting.role)
    found, planned = device.value("found", setting), device.value("planned", setting)
    name = setting.label or setting.name
    draft = drafted(manner, device, f"Set {name} as planned", _phase(manner, planned.content is False))
    if setting.read_at == "host":
        draft.at = "host"
    draft.changes = (change_of(setting, found.shown, planned.shown),)
    draft.to_be = ((setting, found, planned),)
    draft.rollback = manner.rollback or f"set {name} to {found.shown} again"
    return draft


def _phase(manner: SettingWork, off: bool) -> Phase:
    """Return when a setting is changed: a lock that is to come off comes off first."""
    return "unlock" if manner.phase == "lock" and "local_lock" in manner.roles and off else manner.phase


def add_locks(making: Making) -> None:
    """Have each locked device unlocked with the first step of a visit, and locked again with the last."""
    concerned: dict[Key, list[Draft]] = defaultdict(list)
    for draft in making.drafts:
        if draft.device:
            concerned[draft.device.key].append(draft)
    for key in sorted(concerned, key=key_order):
        drafts = concerned[key]
        device = drafts[0].device
        setting = device.setting("local_lock") if device else None
        if device is None or setting is None or device.value("found", setting).content is not True:
            continue
        at_menu = [draft for draft in drafts if draft.at == "device" and _at_menu(draft, setting)]
        if any(draft.phase == "unlock" for draft in drafts):
            continue
        for visit in sorted({draft.visit for draft in at_menu}):
            first = min((draft for draft in at_menu if draft.visit == visit), key=within)
            first.do = f"Unlock the menu ({_at(setting)}){'.' if first.changes else ';'} {first.do}"
            making.add(_lock(making, device, setting, visit))


def _at_menu(draft: Draft, lock: Setting) -> bool:
    """Tell whether a step needs the menu unlocked."""
    names = {change.setting for change in draft.changes}
    return draft.phase == "code" or bool(names and names != {lock.name})


def _at(setting: Setting) -> str:
    return setting.where or setting.label or setting.name


def _lock(making: Making, device: Device, setting: Setting, visit: int) -> Draft:
    draft = drafted(making.work.for_role("local_lock"), device, "Lock the menu again", "lock")
    locked = device.value("found", setting)
    draft.changes = (change_of(setting, "unlocked", locked.shown),)
    draft.to_be = ((setting, BLANK, locked),)
    draft.visit = visit
    return draft
