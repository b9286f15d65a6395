"""Readings of a baseline beside those of the one before it: last year's sheet is no reading of this year."""

from __future__ import annotations

from collections.abc import Iterator

from audit.errors import Problem
from audit.model.baseline import Content
from audit.pairing.readback_rows import unique_index
from audit.phrases import counted
from audit.reading.baselines import ReadBaseline
from audit.reading.moments import moment


def no_newer(content: Content, previous: ReadBaseline) -> Problem | None:
    """Return what is to be said where devices were not read again since the baseline before."""
    old = list(_no_newer(content, previous.baseline.content))
    if not old:
        return None
    read_at, name = min(old)
    message = (
        f"the readings of {counted(len(old), 'device')} are no newer than those of {previous.name}: "
        f"{name} was read on {read_at}"
    )
    return Problem(message, "give what was read since, or say in the record why it is sealed again")


def _no_newer(content: Content, before: Content) -> Iterator[tuple[str, str]]:
    """Yield when a device was read, and which, where its reading for the baseline before is as new.

    One that the baseline before has under another name is known by its serial number, if that stands once.
    """
    by_serial = unique_index([(one.serial, one) for its in before.devices.values() for one in its.values()])
    for network, devices in content.devices.items():
        for tag, device in devices.items():
            then = before.devices.get(network, {}).get(tag) or by_serial.get(device.serial)
            now, last = moment(device.read_at), moment(then.read_at) if then else None
            if now and last and now <= last:
                yield device.read_at, f"{network} {tag}"
