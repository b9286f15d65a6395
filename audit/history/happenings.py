"""Events between baselines: settings that changed; devices that came, went, moved or were exchanged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from itertools import pairwise

from audit.grouping import grouped
from audit.history.courses import DeviceCourse, Known, SettingCourse, each_setting
from audit.model.baseline import UNPLANNED, Content
from audit.model.history import DeviceEvent, Happening, SettingChange
from audit.model.roles import NETWORK_ROLES, OBSERVED_ROLES

GatewayMove = tuple[str, str, int, str]
"""Network, role, position of the baseline, new value."""
Where = Mapping[tuple[int, str], Sequence[DeviceCourse]]
"""Position of a baseline and serial number → the devices that have the number in that baseline."""
Happened = tuple[int, Happening, str, str]
"""Position of the baseline after it, what happened, serial number or names before, and afterwards."""


def changes(devices: Sequence[DeviceCourse], dates: Sequence[str]) -> list[SettingChange]:
    """Return what changed, by baseline and then by device.

    What a gateway's nodes changed along with it (channel, air rate, network identity, encryption) is marked.
    What is observed on a device, such as its signal strength, is not a setting and never listed.
    """
    with_gateway = set(_gateway_moves(devices))
    found = [
        (
            after.at,
            SettingChange(
                network=device.network,
                node=device.tag,
                setting=course.setting.name,
                unit=course.setting.unit or None,
                before=before.value,
                last_read_on=dates[before.at],
                after=after.value,
                sealed_on=dates[after.at],
                with_gateway=not device.gateway
                and (device.name(after.at)[0], course.setting.role or "", after.at, after.value)
                in with_gateway,
            ),
        )
        for device, course in each_setting(devices)
        if course.setting.role not in OBSERVED_ROLES
        for before, after in _moves(course)
    ]
    return [change for _, change in sorted(found, key=lambda pair: pair[0])]


def _moves(course: SettingCourse) -> Iterator[tuple[Known, Known]]:
    known = course.known()
    return ((before, after) for before, after in pairwise(known) if before.value != after.value)


def _gateway_moves(devices: Sequence[DeviceCourse]) -> Iterator[GatewayMove]:
    for device, course in each_setting(devices):
        role = course.setting.role or ""
        if device.gateway and role in NETWORK_ROLES:
            for _, after in _moves(course):
                yield device.name(after.at)[0], role, after.at, after.value


def events(
    devices: Sequence[DeviceCourse], dates: Sequence[str], unplanned: Sequence[Set[str]]
) -> list[DeviceEvent]:
    """Return what happened to devices, by baseline. A serial number that turns up elsewhere is a move.

    It has to be unique in both baselines: if two devices have one number, such as TBC, nobody knows which is
    which. A device under another tag in its network was renamed; so was one whose gateway has the new network
    name too. One that a baseline has among those not planned, as in `unplanned`, was there: it neither came
    nor went when the plan took it up or left it out.
    """
    where = grouped(
        ((at, sealed.serial), device)
        for device in devices for at, sealed in enumerate(device.sealed) if sealed and sealed.serial
    )  # fmt: skip
    named_anew = {
        (at, device.found_as(at - 1)[0], device.found_as(at)[0])
        for device in devices
        if device.gateway
        for at in range(1, len(dates))
    }
    found = [
        (at, DeviceEvent(network=device.network, node=device.tag, what=what, sealed_on=dates[at],
                         before=before or None, after=after or None))
        for device in devices
        for at, what, before, after in (
            *_of_device(device, where, named_anew, unplanned), *_exchanges(device)
        )
    ]  # fmt: skip
    return [event for _, event in sorted(found, key=lambda pair: pair[0])]


def unplanned_serials(content: Content) -> set[str]:
    """Return the serial numbers of the devices that were there for a baseline without being planned."""
    return {finding.serial for finding in content.findings if finding.rule == UNPLANNED and finding.serial}


def _of_device(
    device: DeviceCourse, where: Where, named_anew: Set[tuple[int, str, str]], unplanned: Sequence[Set[str]]
) -> Iterator[Happened]:
    for at, (before, after) in enumerate(pairwise(device.sealed), 1):
        was, now = device.found_as(at - 1), device.found_as(at)
        if before and after:
            one_unit = before.serial == after.serial or device.name(at - 1) != device.name(at)
            if was != now and one_unit:
                renamed = was[0] == now[0] or (at, was[0], now[0]) in named_anew
                yield at, "renamed" if renamed else "moved", " ".join(was), " ".join(now)
        elif after:
            origin = _elsewhere(after.serial, at - 1, at, where)
            if origin:
                yield at, "moved", origin, " ".join(now)
            elif after.serial not in unplanned[at - 1]:
                yield at, "came", "", after.serial
        elif (
            before
            and before.serial not in unplanned[at]
            and not _elsewhere(before.serial, at, at - 1, where)  # a move is listed at its new place
        ):
            yield at, "gone", before.serial, ""


def _exchanges(device: DeviceCourse) -> Iterator[Happened]:
    """Yield the exchanges of units. For a device not read, a baseline has only its planned serial number."""
    read = ""
    for at, sealed in enumerate(device.sealed):
        if sealed is None:
            read = ""
        elif sealed.settings and sealed.serial:
            if read not in ("", sealed.serial):
                yield at, "exchanged", read, sealed.serial
            read = sealed.serial


def _elsewhere(serial: str, at: int, here: int, where: Where) -> str | None:
    """Return network and tag of the device with a serial number in the baseline `at`.

    None unless exactly one device has the number there and exactly one in the baseline `here`.
    """
    there = where.get((at, serial), ())
    return " ".join(there[0].name(at)) if len(there) == len(where.get((here, serial), ())) == 1 else None
