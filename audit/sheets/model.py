"""A book of readback sheets: a sheet for each network, a row for each device, a column for each setting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from audit.model.device import DeviceType, Setting


@dataclass(frozen=True, slots=True)
class Device:
    """One row, or one card: a device to be read."""

    tag: str
    location: str
    type: DeviceType
    planned: Mapping[str, str] = field(default_factory=dict)
    """Setting → planned value as written; empty unless planned values are asked for."""


@dataclass(frozen=True, slots=True)
class Column:
    """One setting across the devices of a sheet."""

    heading: str
    where: str
    """Where to read it, and in which unit if that differs between the device types."""
    settings: Mapping[str, Setting]
    """Device type → its setting; device types that lack it are not in it."""

    def of(self, device: Device) -> Setting | None:
        """Return the setting of a device, None if it does not have it."""
        return self.settings.get(device.type.name)


@dataclass(frozen=True, slots=True)
class Sheet:
    """The devices of a network, or of several where there is only one table."""

    network: str
    devices: Sequence[tuple[str, Device]]
    """Network and device; the gateway first."""
    columns: Sequence[Column]


@dataclass(frozen=True, slots=True)
class Book:
    """Everything that is printed or written for a plan."""

    site: str
    revision: str
    sheets: Sequence[Sheet]
    whole: Sheet
    """All devices in one sheet."""
    with_plan: bool
    """Whether it shows planned values."""
