"""Readings of a baseline compared with the one before it: last year's sheet is not a reading of this year."""

from __future__ import annotations

from collections.abc import Iterator

from audit.errors import Problem
from audit.model.baseline import Content
from audit.pairing.readback_rows import unique_index
from audit.phrases import counted
from audit.reading.baselines import ReadBaseline
from audit.reading.moments import moment


def no_newer(content: Content, previous: ReadBaseline) -> Problem | None:
    """Return a warning if devices were not read again since the baseline before; None if all were."""
    old = list(_no_newer(content, previous.baseline.content))
    if not old:
        return None
    read_at, name = min(old)
    message = (
        f"the readings of {counted(len(old), 'device')} are no newer than those of {previous.name}: "
        f"{name} was read on {read_at}"
    )
    return Problem(message, "give newer readings, or state in the record why these are sealed again")


def _no_newer(content: Content, before: Content) -> Iterator[tuple[str, str]]:
    """Yield when a device was read, and which, if its reading is no newer than in the baseline before.

    A device that the baseline before has under another name is found by its serial number, if it is unique.
    """
    by_serial = unique_index([(one.serial, one) for its in before.devices.values() for one in its.values()])
    for network, devices in content.devices.items():
        for tag, device in devices.items():
            then = before.devices.get(network, {}).get(tag) or by_serial.get(device.serial)
            now, last = moment(device.read_at), moment(then.read_at) if then else None
            if now and last and now <= last:
                yield device.read_at, f"{network} {tag}"
