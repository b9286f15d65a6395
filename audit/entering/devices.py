"""What there is to read: the devices of a plan, each with its settings in the order of its display."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from audit.asking import AskedDevice, asked_devices, asked_settings
from audit.grouping import grouped
from audit.model.device import DeviceType, Setting
from audit.model.site import Block
from audit.model.value import BLANK, Value
from audit.reading.identifiers import bare, spelling
from audit.reading.loaded_plan import LoadedPlan

SERIAL = Setting(name="serial", kind="text", read_at="label")
"""The serial number, read like a setting: it says which device is installed there."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to read on a device."""

    setting: Setting
    planned: Value
    """What the plan says. It is compared with what is typed, and never shown."""

    @property
    def name(self) -> str:
        """The name of the setting."""
        return self.setting.name


@dataclass(frozen=True, slots=True)
class Device:
    """A planned device and what is read on it, in order."""

    network: str
    tag: str
    location: str
    type: DeviceType
    steps: tuple[Step, ...]
    block: Block = field(repr=False, compare=False)
    """The planned devices of its type."""
    index: int = field(compare=False)
    """Its place among them."""


@dataclass(frozen=True)
class ToRead:
    """Everything that a plan wants read."""

    site: str
    revision: str
    devices: tuple[Device, ...]
    """Network by network in the plan's order, in each the gateway first."""
    elevation_m: float | None = None
    """Height of the site above sea level, in metres."""
    formerly: tuple[str, ...] = ()
    """Names that the site had before."""

    @cached_property
    def _of(self) -> dict[str, list[Device]]:
        """Network, without needless blanks → its devices."""
        return grouped((bare(device.network), device) for device in self.devices)

    def networks(self) -> list[str]:
        """Return the names of the networks, in the plan's order."""
        return list(dict.fromkeys(device.network for device in self.devices))

    def of(self, network: str) -> list[Device]:
        """Return the devices of a network."""
        return self._of.get(bare(network), [])

    def named(self, tag: str, network: str = "") -> list[Device]:
        """Return the devices with a tag: as it is written, or else in another spelling (`pt7` for PT-07)."""
        among = self.of(network) if network else list(self.devices)
        exact = [device for device in among if device.tag == tag]
        return exact or [device for device in among if spelling(device.tag) == spelling(tag)]

    def with_serial(self, serial: str) -> Device | None:
        """Return the device for which a serial number is planned, if there is one."""
        planned = ((device, device.steps[0].planned) for device in self.devices)
        return next((d for d, its in planned if its.read and spelling(its.shown) == spelling(serial)), None)


def to_read(plan: LoadedPlan) -> ToRead:
    """Return everything that a plan wants read. Raises InputProblems where the plan is not clear."""
    devices = tuple(_device(one) for one in asked_devices(plan))
    site = plan.file.site
    return ToRead(site.name, site.revision, devices, site.elevation_m, site.formerly)


def _device(one: AskedDevice) -> Device:
    steps = [Step(SERIAL, Value(one.serial, shown=one.serial) if one.serial else BLANK)]
    for setting in asked_settings(one.type):
        steps.append(Step(setting, one.block.value("planned", setting.name, one.i)))
    return Device(one.network, one.tag, one.location, one.type, tuple(steps), one.block, one.i)
