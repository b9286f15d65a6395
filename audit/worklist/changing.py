"""Steps for all settings but radio and address: those of a device in one visit, each set as planned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.value import BLANK, Value
from audit.model.work import Phase, SettingWork, WorkFile
from audit.pairing.stating import measured_in
from audit.worklist.devices import Device
from audit.worklist.drafts import LOCK, Draft, Making, change_of, drafted, step_mark, within
from audit.worklist.holders import ADDRESS, key_order

JOINING = (ADDRESS, *NETWORK_ROLES)
"""Roles whose changes are planned together (joining.py)."""
NOT_KEYED_AT = ("label", "document", "gateway")
"""Places where a value is only read."""
NOT_AT_MENU = ("look", "read", "power")
"""Phases of work that need no menu, unless they change a setting."""


def add_changes(making: Making) -> None:
    """Add a step for each setting that differs from the plan and that some finding asks to be changed."""
    for device in making.in_order():
        made = {
            setting.name: making.add(
                _draft(making, device, setting), making.wanted[device.order, setting.name]
            )
            for setting in _settings(making, device)
        }
        _units_first(making, device, made)


def _settings(making: Making, device: Device) -> Iterator[Setting]:
    """Yield the settings of a device to be changed, in display order."""
    for setting in device.block.type.settings:
        own = setting.role not in JOINING or setting is not device.setting(setting.role)
        if (
            own
            and _is_keyed_in(making.work, setting)
            and (device.order, setting.name) in making.wanted
            and device.differs(setting)
        ):
            yield setting


def _is_keyed_in(work: WorkFile, setting: Setting) -> bool:
    """Return whether a setting can be keyed in."""
    keyed = setting.read_at not in NOT_KEYED_AT and setting.kind != "secret"
    return keyed and setting.role not in work.never_set


def _draft(making: Making, device: Device, setting: Setting) -> Draft:
    manner = making.work.for_role(setting.role)
    found, planned = device.value("found", setting), device.value("planned", setting)
    name = setting.label or setting.name
    draft = drafted(manner, device, f"Set {name} as planned", _phase(manner, planned.content is False))
    if setting.read_at == "host":
        draft.at = "host"
    change = change_of(setting, found.shown, planned.shown)
    draft.changes = (change,)
    draft.to_be = ((setting, found, planned),)
    draft.rollback = manner.rollback or f"set {name} to {change.before} again"
    return draft


def _units_first(making: Making, device: Device, made: Mapping[str, int]) -> None:
    """Have a device's numbers read again after their unit is set, since some devices convert them."""
    for selector in device.block.settings("unit"):
        if selector.name not in made or selector.read_at == "host":
            continue
        mark = step_mark(made[selector.name])
        for setting in measured_in(device.block, selector, device.i):
            if setting.name in made:
                draft, found = making.drafts[made[setting.name]], device.value("found", setting)
                name, bare = setting.label or setting.name, found.shown.partition(" (unit found")[0]
                before = f"{bare} {found.unit}" if found.unit else found.shown
                draft.needs.add(made[selector.name])
                draft.do = (
                    f"Read {name} after step {mark}, which may have converted it, "
                    "and set it as planned if it is not"
                )
                draft.rollback = f"undo step {mark} first, then set {name} to {before} again"


def _phase(manner: SettingWork, off: bool) -> Phase:
    """Return when a setting is changed: a lock that is planned off is taken off first."""
    return "unlock" if manner.phase == "lock" and LOCK in manner.roles and off else manner.phase


def add_locks(making: Making) -> None:
    """Have each locked device unlocked with the first step of a visit, and locked again with the last."""
    concerned = grouped((draft.device.key, draft) for draft in making.drafts if draft.device)
    for key in sorted(concerned, key=key_order):
        drafts = concerned[key]
        device = drafts[0].device
        setting = device.setting(LOCK) if device else None
        if device is None or setting is None or not is_locked(device):
            continue
        if any(draft.phase == "unlock" for draft in drafts):
            continue
        keyed_in = [draft for draft in drafts if at_menu(making.work, draft)]
        for visit in sorted({draft.visit for draft in keyed_in}):
            first = min((draft for draft in keyed_in if draft.visit == visit), key=within)
            perhaps = "" if device.is_read(LOCK) else ", if it is locked"
            first.do = f"Unlock the menu ({_at(setting)}){perhaps}{'.' if first.changes else ';'} {first.do}"
            first.unlocks = True
            making.add(_lock(making, device, setting, visit))


def is_locked(device: Device) -> bool:
    """Return whether the menu of a device was found locked or, if that was not read, is planned so."""
    setting = device.setting(LOCK)
    return setting is not None and _lock_of(device, setting).content is True


def _lock_of(device: Device, setting: Setting) -> Value:
    return device.value("found" if device.is_read(LOCK) else "planned", setting)


def at_menu(work: WorkFile, draft: Draft) -> bool:
    """Return whether a step needs its device's menu unlocked: it keys in more there than the lock itself."""
    if draft.device is None or draft.at != "device":
        return False
    names = {change.setting for change in draft.changes}
    if not draft.changes and draft.phase not in NOT_AT_MENU:
        names = draft.asks
    asked = [s for name in names if (s := draft.device.block.type.setting(name))]
    return draft.phase == "code" or any(
        _is_keyed_in(work, s) and s.read_at == "display" and s.role != LOCK for s in asked
    )


def _at(setting: Setting) -> str:
    return setting.where or setting.label or setting.name


def _lock(making: Making, device: Device, setting: Setting, visit: int) -> Draft:
    draft = drafted(making.work.for_role(LOCK), device, "Lock the menu again", "lock")
    locked = _lock_of(device, setting)
    draft.changes = (change_of(setting, "unlocked", "on"),)  # an export may have `true`
    draft.to_be = ((setting, BLANK, locked),)
    draft.visit = visit
    return draft
