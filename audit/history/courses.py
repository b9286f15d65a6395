"""Courses: each device, and each of its settings, followed through the baselines of a site."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import NamedTuple

from audit.model.baseline import Content, SealedDevice
from audit.model.device import Setting
from audit.model.roles import DIFFERENCES
from audit.pairing.readback_rows import unique_index
from audit.reading.units import convert
from audit.reading.values import is_number, plain

Name = tuple[str, str]
"""Network and tag."""


class Known(NamedTuple):
    """A value that was read, and the position of its baseline."""

    at: int
    value: str


@dataclass(frozen=True, slots=True)
class SettingCourse:
    """A setting of a device: its value in each baseline."""

    setting: Setting
    values: tuple[str | None, ...]
    """None where it was not read: a blank says nothing, so it does not break a course."""
    planned: tuple[str | None, ...] = ()
    """What was planned in each baseline, where something else was read; empty if that never was."""

    def known(self) -> list[Known]:
        """Return what was read, in order."""
        return [Known(at, value) for at, value in enumerate(self.values) if value is not None]

    def steps(self) -> list[Known]:
        """Return each value when it was first read, without repeats."""
        return [next(same) for _, same in groupby(self.known(), key=lambda known: known.value)]


@dataclass(frozen=True, slots=True)
class DeviceCourse:
    """A device as each baseline has it. Network and tag are those in the last baseline that has it."""

    network: str
    tag: str
    type: str
    gateway: bool
    sealed: tuple[SealedDevice | None, ...]
    """None where the baseline does not have the device."""
    settings: tuple[SettingCourse, ...]
    names: tuple[Name | None, ...]
    """Its network and tag in each baseline."""
    found: tuple[Name | None, ...]
    """The network and tag under which it was found for each baseline, whatever its plan says."""

    def name(self, at: int) -> Name:
        """Return its network and tag in a baseline; the last ones where it is not in it."""
        return self.names[at] or (self.network, self.tag)

    def found_as(self, at: int) -> Name:
        """Return the network and tag under which it was found for a baseline."""
        return self.found[at] or self.name(at)


def courses(contents: Sequence[Content]) -> list[DeviceCourse]:
    """Return the devices in the order of the latest baseline, then those that are gone.

    A device is identified by its network and tag; where these are new and its old ones are gone, by its
    serial number; in a network that has a new name, as its gateway shows, by its tag; and by a tag that the
    site has once, then and now: its unit was moved and exchanged. Gateways come first.
    """
    order = dict.fromkeys(
        (network, tag)
        for content in reversed(contents)
        for network, devices in content.devices.items()
        for tag in devices
    )
    gateways = {(n.name, n.gateway) for content in contents for n in content.networks}
    rank = {network: n for n, network in enumerate(dict.fromkeys(network for network, _ in order))}
    paths = _paths(contents)
    ordered = sorted(
        (name for name in order if name in paths), key=lambda name: (rank[name[0]], name not in gateways)
    )
    return [_course(contents, name, paths[name], name in gateways) for name in ordered]


def _devices(content: Content) -> dict[Name, SealedDevice]:
    return {
        (network, tag): its for network, devices in content.devices.items() for tag, its in devices.items()
    }


def _paths(contents: Sequence[Content]) -> dict[Name, list[Name | None]]:
    """Return the last name of each device → its name in each baseline, None where it is not in it."""
    paths: dict[Name, list[Name | None]] = {}
    before: Mapping[Name, SealedDevice] = {}
    for at, content in enumerate(contents):
        devices = _devices(content)
        was = _by_serial(before)
        now = _by_serial(devices)
        same = {name: was[its.serial] for name, its in devices.items()
                if its.serial in was and now.get(its.serial) == name}  # fmt: skip
        called = _called_before(content, same)
        for origin_of in (same.get, called, _tagged_before(before, devices)):  # serial numbers come first
            for name in devices:
                origin = origin_of(name)
                if name not in paths and origin in before and origin in paths and origin not in devices:
                    paths[name] = paths.pop(origin)
        for name in devices:
            paths.setdefault(name, [None] * len(contents))[at] = name
        before = devices
    return paths


def _called_before(content: Content, same: Mapping[Name, Name]) -> Callable[[Name], Name | None]:
    """Return a function: name of a device → its name before its network, with its gateway, was renamed."""
    gateways = [(network.name, network.gateway) for network in content.networks]
    before = {
        name[0]: same[name][0] for name in gateways if name in same and same[name][0] not in content.devices
    }
    return lambda name: (before[name[0]], name[1]) if name[0] in before else None


def _tagged_before(
    before: Mapping[Name, SealedDevice], now: Mapping[Name, SealedDevice]
) -> Callable[[Name], Name | None]:
    """Return a function: name of a device → its name before, if the site has its tag once, then and now."""
    then, still = (unique_index([(tag, (network, tag)) for network, tag in of]) for of in (before, now))
    return lambda name: then.get(name[1]) if name[1] in still else None


def _by_serial(devices: Mapping[Name, SealedDevice]) -> dict[str, Name]:
    """Return serial number → network and tag, for the numbers that only one device has."""
    return unique_index([(its.serial, name) for name, its in devices.items()])


def _course(contents: Sequence[Content], name: Name, names: list[Name | None], gateway: bool) -> DeviceCourse:
    sealed = tuple(
        content.devices[then[0]][then[1]] if then else None
        for content, then in zip(contents, names, strict=True)
    )
    kinds = [
        next(kind for kind in content.device_types if kind.name == device.type) if device else None
        for content, device in zip(contents, sealed, strict=True)
    ]
    types = [{setting.name: setting for setting in kind.settings} if kind else {} for kind in kinds]
    last = {name: setting for of_type in types for name, setting in of_type.items()}
    settings = (_setting_course(setting, types, sealed) for setting in last.values())
    return DeviceCourse(
        *name,
        [kind.name for kind in kinds if kind][-1],
        gateway,
        sealed,
        tuple(course for course in settings if course.known()),
        tuple(names),
        tuple(_found(contents, names, sealed)),
    )


def _setting_course(
    setting: Setting, types: Sequence[Mapping[str, Setting]], sealed: Sequence[SealedDevice | None]
) -> SettingCourse:
    """Return the course of a setting of a device; `types` has all its settings in each baseline, by name."""
    name = setting.name
    then = [of_type.get(name) for of_type in types]
    values = [its.settings.get(name) if its else None for its in sealed]
    planned = [its.planned.get(name) if its else None for its in sealed]
    return SettingCourse(
        setting,
        _in_last_unit(values, then, setting),
        _in_last_unit(planned, then, setting) if any(planned) else (),
    )


def _found(
    contents: Sequence[Content], names: Sequence[Name | None], sealed: Sequence[SealedDevice | None]
) -> Iterator[Name | None]:
    """Yield the name under which a device was found, for each baseline.

    If it was not read, that is the name under which it was found before, or its planned name if that is new.
    If another device is planned under the name it was found under, they were exchanged: none was renamed.
    """
    before: tuple[Name | None, Name | None] = None, None
    for content, name, device in zip(contents, names, sealed, strict=True):
        found = name
        if name and device and not device.settings and before[0] == name:
            found = before[1]
        elif name and device:
            network, tag = device.read_network or name[0], device.read_tag or name[1]
            found = name if tag in content.devices.get(network, {}) else (network, tag)
        before = name, found
        yield found


def _in_last_unit(
    texts: Sequence[str | None], then: Sequence[Setting | None], now: Setting
) -> tuple[str | None, ...]:
    """Return values in today's unit if the setting had another unit then; otherwise unchanged.

    Where a type that shows psi was exchanged for one that shows kPa, only this shows that no value changed.
    Values that differed then but would be the same on today's display keep more digits.
    """
    numbers = [_converted(text, was, now) for text, was in zip(texts, then, strict=True)]
    if not any(number is not None for number in numbers):
        return tuple(texts)
    units = [was.unit if was and number is not None else now.unit
             for was, number in zip(then, numbers, strict=True)]  # fmt: skip
    shown = [_shown(text, number, now.display_step) for text, number in zip(texts, numbers, strict=True)]
    if len(set(zip(units, shown, strict=True))) < len(set(zip(units, texts, strict=True))):
        finer = now.display_step / 1000
        shown = [_shown(text, number, finer) for text, number in zip(texts, numbers, strict=True)]
    return tuple(shown)


def _shown(text: str | None, number: Decimal | None, step: Decimal) -> str | None:
    """Return a converted number to the nearest step; a text that was not converted is returned unchanged."""
    return text if number is None else plain((number / step).to_integral_value() * step)


def _converted(text: str | None, was: Setting | None, now: Setting) -> Decimal | None:
    """Return a value converted from its old unit to the new one; None if it is to be left as it is."""
    if text is None or was is None or was.unit == now.unit or not (now.numeric and is_number(text)):
        return None
    number = convert(Decimal(text), was.unit, now.unit, difference=now.role in DIFFERENCES)
    return None if number == Decimal(text) else number  # equal: two spellings of one unit


def each_setting(devices: Sequence[DeviceCourse]) -> Iterator[tuple[DeviceCourse, SettingCourse]]:
    """Yield every setting of every device."""
    for device in devices:
        for setting in device.settings:
            yield device, setting
