"""Devices of which the tables of a plan say different things: nobody knows which of them holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from audit.comparing import same
from audit.model.device import DeviceType, Setting
from audit.model.site import PlannedAgain
from audit.reading.identifiers import bare
from audit.reading.loaded_plan import Group, Row
from audit.reading.meanings import Meanings
from audit.reading.node_tables import NUMBERS
from audit.reading.values import is_number
from audit.texts import parted

Part = tuple[Group, Sequence[int]]
"""A group and those of its entries that are of one device type."""
NOT_COMPARED = ("tag", "network", "type", "note")
"""By these a row is found, or they are compared when it is read; a note may say what it likes."""


def contradicted(
    parts: Sequence[Part], kind: DeviceType, meanings: Meanings
) -> dict[int, list[PlannedAgain]]:
    """Return device of a block → the rows of further tables that say otherwise than what counts.

    Values are compared as those found are, so that 10 bar is 1000 kPa. Access codes are not compared.
    """
    if not any(group.further for group, _ in parts):
        return {}
    settings = {setting.name: setting for setting in kind.settings}
    devices = ((group, e) for group, entries in parts for e in entries)
    return {
        i: again for i, (group, e) in enumerate(devices)
        if e in group.further and (again := list(_of_device(group, e, settings, meanings)))
    }  # fmt: skip


def _of_device(
    group: Group, entry: int, settings: Mapping[str, Setting], meanings: Meanings
) -> Iterator[PlannedAgain]:
    for row in group.further[entry]:
        otherwise = {
            name: row.place(name)
            for name in row.table.columns
            if name not in NOT_COMPARED
            and row.text(name).strip()
            and not _alike(group.stating(entry, name), row, name, settings.get(name), meanings)
        }
        if otherwise:
            named = "tag" if row.text("tag").strip() else "serial"
            yield PlannedAgain(row.place(named), otherwise)


def _alike(counts: Row, row: Row, name: str, setting: Setting | None, meanings: Meanings) -> bool:
    """Tell whether two rows say the same of a field."""
    if setting is None:
        return _meant(name, counts.text(name)) == _meant(name, row.text(name))
    if setting.kind == "secret":
        return True
    one, other = (meanings.value(at.table.columns[name], setting, at.entry) for at in (counts, row))
    return same(one, other, setting)


def _meant(name: str, text: str) -> object:
    """Return what a text of a field means: 1250.0 m is 1250 m, and duties may be in any order."""
    if name in NUMBERS and is_number(text.strip()):
        return float(text)
    return sorted(parted(text)) if name == "duties" else bare(text)
