"""Readings of settings that a device does not have: cells of a sheet that were filled in anyway."""

from __future__ import annotations

from audit.checks.context import Context
from audit.model.device import AT_THE_DEVICE
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.table import HIDDEN, Place
from audit.phrases import listed
from audit.reading.quoting import holds_code, quoted

MOST_NAMES = 5
"""Most settings named in a message."""


def no_such_setting(context: Context) -> Outcome:
    """Return a hit for each device with readings of settings that its type lacks.

    Only settings that are read at the device: lists of hosts and gateways fill their columns for all nodes.
    """
    looked_at, hits = 0, []
    at_devices = _read_at_devices(context)
    for b, block in context.blocks():
        own = {setting.name for setting in block.type.settings}
        among = [name for name in at_devices if name not in own and _is_a_column(block, name)]
        looked_at += len(block.rows)
        for i in range(len(block.rows)) if among else ():
            read = {name: place for name in among if (place := _reading(block, i, name))}
            if read:
                hits.append(_hit(block, b, i, read))
    return Outcome(looked_at, hits)


def _read_at_devices(context: Context) -> list[str]:
    """Return the settings of all device types that are read only at a device."""
    settings = [setting for block in context.site.blocks for setting in block.type.settings]
    elsewhere = {s.name for s in settings if s.read_at not in AT_THE_DEVICE or s.kind == "secret"}
    return [name for name in dict.fromkeys(s.name for s in settings) if name not in elsewhere]


def _is_a_column(block: Block, name: str) -> bool:
    return any(name in table.columns for table in block.tables)


def _reading(block: Block, i: int, name: str) -> Place | None:
    """Return where somebody wrote a reading; mapping constants and crossed-out cells do not count."""
    for table, entry in block.readings(i, name):
        column = table.columns[name]
        text = column.texts[entry].strip()
        if not column.fixed and text.casefold() != "x" and any(map(str.isalnum, text)):
            return table.place(entry, name)
    return None


def _hit(block: Block, b: int, i: int, read: dict[str, Place]) -> Hit:
    """Return the hit on a device; the message leaves out what was read, so that many alike can be joined."""
    were = "was" if len(read) == 1 else "were"
    message = f"{listed([*read], MOST_NAMES)} {were} read, but a {block.type.name!r} has no such setting"
    places = tuple(_without_code(place) for place in read.values())
    texts = (place.raw if place.raw == HIDDEN else quoted(place.raw.strip()) for place in places)
    found = ", ".join(f"{name} {text}" for name, text in zip(read, texts, strict=True))
    return Hit(block.networks[i], block.tags[i], (), message, found=found, places=places, order=(b, i))


def _without_code(place: Place) -> Place:
    """Return a place without anything that may be an access code, which can be in a wrong cell too."""
    return place._replace(raw=HIDDEN) if holds_code(place.raw) else place
