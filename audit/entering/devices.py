"""What there is to read: the devices of a plan, each with its settings in the order of its display."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from audit.errors import InputProblems, Problem
from audit.model.device import AT_THE_DEVICE, DeviceType, Setting
from audit.model.site import Block
from audit.model.value import BLANK, Value
from audit.planning import planned_blocks
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.values import bare, spelling

SERIAL = Setting(name="serial", kind="text", read_at="label")
"""The serial number, read like a setting: it says which box hangs there."""

PLACES = {"display": "at the display", "label": "on the label", "gateway": "at the gateway",
          "host": "at the host", "document": "in a document"}  # fmt: skip
"""Where a setting is read → how entries say so."""


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


@dataclass(frozen=True, slots=True)
class ToRead:
    """All that a plan asks to be read."""

    site: str
    revision: str
    devices: tuple[Device, ...]
    """Network by network in the plan's order, in each the gateway first."""
    elevation_m: float | None = None
    """Height of the site above sea level, in metres."""

    def networks(self) -> list[str]:
        """Return the names of the networks, in the plan's order."""
        return list(dict.fromkeys(device.network for device in self.devices))

    def of(self, network: str) -> list[Device]:
        """Return the devices of a network."""
        return [device for device in self.devices if bare(device.network) == bare(network)]

    def named(self, tag: str, network: str = "") -> list[Device]:
        """Return the devices of a tag: as it is written, or else in another spelling (`pt7` for PT-07)."""
        among = self.of(network) if network else list(self.devices)
        exact = [device for device in among if device.tag == tag]
        return exact or [device for device in among if spelling(device.tag) == spelling(tag)]


def to_read(plan: LoadedPlan) -> ToRead:
    """Return what a plan asks to be read. Raises InputProblems where the plan is not clear."""
    blocks = planned_blocks(plan, Meanings())
    turns: Counter[str] = Counter()
    devices = []
    for group in (*plan.gateways, *plan.nodes):
        for kind in group.types:
            block = next(block for block in blocks if block.type.name == kind)
            devices.append(_device(block, turns[kind]))
            turns[kind] += 1
    order = {network.name: n for n, network in enumerate(plan.file.networks)}
    devices.sort(key=lambda device: order[device.network])
    _refuse_tags_given_twice(plan, devices)
    site = plan.file.site
    return ToRead(site.name, site.revision, tuple(devices), site.elevation_m)


def _refuse_tags_given_twice(plan: LoadedPlan, devices: Sequence[Device]) -> None:
    """Raise InputProblems where a network has a tag twice, since no entry could tell the two apart."""
    times = Counter((device.network, device.tag) for device in devices)
    problems = [
        Problem(f"the tag {tag!r} is planned twice in network {network!r}", "correct the plan first: "
                "`asfound check PLAN` says where", plan.name)
        for (network, tag), count in times.items() if count > 1
    ]  # fmt: skip
    if problems:
        raise InputProblems(problems)


def _device(block: Block, i: int) -> Device:
    serial = block.serials[i]
    steps = [Step(SERIAL, Value(serial, shown=serial) if serial else BLANK)]
    for setting in _in_order(block.type.settings):
        steps.append(Step(setting, block.value("planned", setting.name, i)))
    return Device(block.networks[i], block.tags[i], block.locations[i], block.type, tuple(steps), block, i)


def _in_order(settings: Sequence[Setting]) -> list[Setting]:
    """Return settings as they are read: those on the device in display order, then those read elsewhere.

    Access codes are not among them: they are never asked for.
    """
    open_ones = [setting for setting in settings if setting.kind != "secret"]
    here = [setting for setting in open_ones if setting.read_at in AT_THE_DEVICE]
    return here + [setting for setting in open_ones if setting not in here]
