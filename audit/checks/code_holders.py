"""Which device a mark of an access code belongs to: it keeps its code when it is renamed or moved."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence

from audit.checks.context import Context
from audit.grouping import grouped
from audit.model.code_mark import CodeMark
from audit.model.site import Block
from audit.reading.identifiers import spelling
from audit.texts import serial_of

Name = tuple[str, ...]
"""One way to name the device that has a code: its place, its serial number, or its tag alone."""


def names_of_mark(context: Context, mark: CodeMark) -> set[Name]:
    """Return the names by which the device of a mark can be recognised.

    The tag alone counts if its network is no longer planned: then the network was renamed.
    """
    site = context.site.plan.site.name
    gone = mark.site == site and all(mark.network != network.name for network in context.site.plan.networks)
    return _names(mark.site, mark.setting, mark.network, mark.node, mark.serial, tag_alone=gone)


def names_of_device(context: Context, block: Block, setting: str, i: int) -> set[Name]:
    """Return the names by which a device can be recognised as the one that has a code."""
    site, serial = context.site.plan.site.name, serial_of(block, i)
    return _names(site, setting, block.networks[i], block.tags[i], serial, tag_alone=True)


def unknown_now(context: Context, marks: Iterable[CodeMark]) -> set[CodeMark]:
    """Return the marks at places of this site that are no longer planned, without a serial number.

    Each may belong to the same device under another name, so it does not prove that a code is shared.
    """
    site, blocks = context.site.plan.site.name, context.site.blocks
    planned = {place for block in blocks for place in zip(block.networks, block.tags, strict=True)}
    return {
        mark
        for mark in marks
        if mark.site == site and not mark.serial and (mark.network, mark.node) not in planned
    }


def changed_since(marks: Sequence[CodeMark]) -> set[CodeMark]:
    """Return the marks of codes that their device had no longer when it was last read."""
    last_read: dict[Name, datetime.date] = {}
    for mark in marks:
        device = _device(mark)
        last_read[device] = max(mark.last_read_on, last_read.get(device, mark.last_read_on))
    return {mark for mark in marks if mark.last_read_on < last_read[_device(mark)]}


def held_since(marks: Iterable[CodeMark]) -> dict[CodeMark, datetime.date]:
    """Return from which day on a device is known to have had a code, without another one in between.

    Codes that it had no longer when it was last read are left out.
    """
    since = {}
    for of_device in grouped((_device(mark), mark) for mark in marks).values():
        for mark in of_device:
            others = [other.last_read_on for other in of_device if other.mark != mark.mark]
            read = (mark.first_read_on, mark.last_read_on)
            day = next((day for day in read if all(other <= day for other in others)), None)
            if day:
                since[mark] = day
    return since


def _device(mark: CodeMark) -> Name:
    """Return the name of the device of a mark: its serial number, or else its place."""
    serial = spelling(mark.serial)
    return (mark.site, mark.setting, *([serial] if serial else [mark.network, mark.node]))


def _names(site: str, setting: str, network: str, node: str, serial: str, *, tag_alone: bool) -> set[Name]:
    names: set[Name] = {("place", site, setting, network, node)}
    if spelling(serial):
        names.add(("serial", site, setting, spelling(serial)))
    if tag_alone:
        names.add(("tag", site, setting, node))
    return names
