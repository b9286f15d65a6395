"""Courses: each device, and each of its settings, followed through the baselines of a site."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from audit.model.baseline import Content, SealedDevice
from audit.model.device import Setting


class Known(NamedTuple):
    """A value that was read, and the position of its baseline."""

    at: int
    value: str


@dataclass(frozen=True, slots=True)
class SettingCourse:
    """A setting of a device: what each baseline has."""

    setting: Setting
    values: tuple[str | None, ...]
    """None where it was not read: a blank tells nothing, and so breaks no course."""

    def known(self) -> list[Known]:
        """Return what was read, in order."""
        return [Known(at, value) for at, value in enumerate(self.values) if value is not None]

    def steps(self) -> list[Known]:
        """Return each value when it was first read, without repeats."""
        return [next(same) for _, same in groupby(self.known(), key=lambda known: known.value)]


@dataclass(frozen=True, slots=True)
class DeviceCourse:
    """A device: what each baseline has of it."""

    network: str
    tag: str
    type: str
    gateway: bool
    sealed: tuple[SealedDevice | None, ...]
    """None where the baseline does not have it."""
    settings: tuple[SettingCourse, ...]


def courses(contents: Sequence[Content]) -> list[DeviceCourse]:
    """Return the devices in the order of the latest baseline, those that are gone behind them.

    A device is told by its network and tag. Within a network the gateway comes first.
    """
    names = dict.fromkeys(
        (network, tag)
        for content in reversed(contents)
        for network, devices in content.devices.items()
        for tag in devices
    )
    gateways = {(n.name, n.gateway) for content in contents for n in content.networks}
    rank = {network: n for n, network in enumerate(dict.fromkeys(network for network, _ in names))}
    ordered = sorted(names, key=lambda name: (rank[name[0]], name not in gateways))
    return [_course(contents, network, tag, (network, tag) in gateways) for network, tag in ordered]


def _course(contents: Sequence[Content], network: str, tag: str, gateway: bool) -> DeviceCourse:
    sealed = tuple(content.devices.get(network, {}).get(tag) for content in contents)
    kinds = [
        next(kind for kind in content.device_types if kind.name == device.type)
        for content, device in zip(contents, sealed, strict=True)
        if device
    ]
    by_name = {setting.name: setting for kind in kinds for setting in kind.settings}
    values = {
        name: tuple(device.settings.get(name) if device else None for device in sealed) for name in by_name
    }
    return DeviceCourse(
        network,
        tag,
        kinds[-1].name,
        gateway,
        sealed,
        tuple(
            SettingCourse(setting, values[name])
            for name, setting in by_name.items()
            if any(value is not None for value in values[name])
        ),
    )


def each_setting(devices: Sequence[DeviceCourse]) -> Iterator[tuple[DeviceCourse, SettingCourse]]:
    """Yield every setting of every device."""
    for device in devices:
        for setting in device.settings:
            yield device, setting
