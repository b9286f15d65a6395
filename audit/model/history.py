"""The history of a site over its baselines: what reports of `asfound history` are written from."""

from __future__ import annotations

from typing import Literal

from audit.model.base import Level
from audit.model.reported import Document, Reported


class BaselineLine(Reported):
    """A baseline, and what it brought since the one before."""

    file: str
    sha256: str
    sealed_on: str
    signed_by: str
    verdict: Literal["pass", "fail"]
    plan_revision: str | None
    devices: int
    devices_read: int
    not_read: list[str]
    """Devices of which nothing was read: what is told of them rests on other years."""
    settings_not_read: int
    """Settings of devices that were read which another baseline has, and this one has not."""
    changes: int | None
    """Settings that changed since the baseline before; null for the first."""


class Reading(Reported):
    """A value, and the baseline that first has it."""

    sealed_on: str
    value: str


class SettingChange(Reported):
    """A setting that has another value than when it was last read."""

    network: str
    node: str
    setting: str
    unit: str | None
    before: str
    last_read_on: str
    after: str
    sealed_on: str
    """The baseline that first has the new value."""
    with_gateway: bool
    """Its gateway went the same way between the same baselines: one change, not one a node."""


class DeviceEvent(Reported):
    """A device that came, went, or was exchanged, moved or renamed."""

    network: str
    node: str
    what: Literal["came", "gone", "exchanged", "moved", "renamed"]
    sealed_on: str
    before: str | None
    """Serial number of the unit before; network and tag before a move or a renaming."""
    after: str | None
    """The same after it."""


class Flip(Reported):
    """A setting that has come back to a value that it had before."""

    network: str
    node: str
    setting: str
    unit: str | None
    values: list[Reading]
    returns: int
    """How often it came back."""


class Creep(Reported):
    """A number that has moved the same way at least twice running."""

    network: str
    node: str
    setting: str
    alarm: bool
    """Whether the control room counts on it."""
    unit: str | None
    values: list[Reading]
    moves: int
    total: str
    """How far in all, with its sign."""
    percent_of_range: float | None
    """The same in percent of the device's range, as last read; null where no range is known."""
    still: bool
    """Whether the last move is the last that is known of the setting."""


class Standing(Reported):
    """A finding, and how long it stood, or has stood, open."""

    rule: str
    level: Level
    network: str | None
    node: str | None
    settings: list[str]
    since: str
    gone_by: str | None
    """The first baseline that has it no more; null where it still stands."""
    days: int
    """Until then, or until the last baseline."""
    waived: str | None
    """Id of the waiver that excuses it, in the last baseline that has it."""
    not_read: list[str] = []
    """Baselines meanwhile in which what it is about was not read: nothing there shows that it was mended."""

    @property
    def end(self) -> str:
        """When it was gone, in words, and when nobody looked."""
        unread = f", not read {', '.join(self.not_read)}" if self.not_read else ""
        return f"{self.gone_by or 'open'}{unread}"


class Cell(Reported):
    """What became of a device by a baseline, since the one before."""

    events: list[DeviceEvent]
    not_read: bool
    changes: list[SettingChange]


class DeviceLine(Reported):
    """A device to which something happened."""

    node: str
    type: str
    cells: list[Cell]
    """One for each baseline."""


class NetworkLine(Reported):
    """A network: the devices to which something happened, and how many stayed as they were."""

    network: str
    devices: list[DeviceLine]
    unchanged: int


class History(Document):
    """The history of a site. What matters first."""

    schema_: Literal["asfound/history/1"]
    site: str
    baselines: list[BaselineLine]
    """Oldest first."""
    doubts: list[str]
    """What is wrong with the chain of the baselines; empty where it holds."""
    creeps: list[Creep]
    """Alarms first, then by moves and share of the range."""
    flips: list[Flip]
    standing: list[Standing]
    """Findings that still stand, oldest first, then those that are gone."""
    events: list[DeviceEvent]
    changes: list[SettingChange]
    """By baseline, then in the plan's order."""
    networks: list[NetworkLine]
    cautions: list[str]
