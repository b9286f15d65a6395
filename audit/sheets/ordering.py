"""Order: the settings of several device types as one row of columns that keeps each type's own order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from audit.asking import turn
from audit.model.device import DeviceType, Setting


def at_the_device(kind: DeviceType) -> list[Setting]:
    """Return what a person standing at the device can read, apart from the factory code."""
    return [setting for setting in kind.settings if turn(setting) == 0]


def in_one_order(kinds: Iterable[Sequence[Setting]]) -> list[str]:
    """Return the names of settings of several device types, each once.

    The first type's order holds. A setting that a later type adds goes before the one that follows it there,
    so that every type keeps its own order as far as the earlier types allow.
    """
    names: list[str] = []
    turns: dict[str, int] = {}
    for settings in kinds:
        at = len(names)
        for setting in reversed(settings):
            turns.setdefault(setting.name, turn(setting))
            if setting.name in names:
                at = names.index(setting.name)
            else:
                names.insert(at, setting.name)
    return sorted(names, key=turns.__getitem__)
