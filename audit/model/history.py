"""The history of a site over its baselines: the data that reports of `asfound history` are written from."""

from __future__ import annotations

from typing import Literal

from audit.model.base import Level
from audit.model.reported import Document, Reported


class BaselineLine(Reported):
    """A baseline, and what has changed since the one before."""

    file: str
    sha256: str
    sealed_on: str
    signed_by: str
    verdict: Literal["pass", "fail"]
    plan_revision: str | None
    devices: int
    devices_read: int
    not_read: list[str]
    """Devices of which nothing was read: what is reported of them comes from other years."""
    settings_not_read: int
    """Settings, of devices that were read, that another baseline has and this one does not."""
    changes: int | None
    """Settings that changed since the previous baseline; null for the first."""


class Reading(Reported):
    """A value, and the first baseline that has it."""

    sealed_on: str
    value: str


class SettingChange(Reported):
    """A setting whose value is different from when it was last read."""

    network: str
    node: str
    setting: str
    unit: str | None
    before: str
    last_read_on: str
    after: str
    sealed_on: str
    """The first baseline that has the new value."""
    with_gateway: bool
    """Its gateway changed in the same way between the same baselines: one change, not one for each node."""


Happening = Literal["came", "gone", "exchanged", "moved", "renamed"]
"""What became of a device as a whole."""


class DeviceEvent(Reported):
    """A device that came, went, or was exchanged, moved or renamed."""

    network: str
    node: str
    what: Happening
    sealed_on: str
    before: str | None
    """Serial number of the old unit; network and tag before a move or a renaming."""
    after: str | None
    """The same afterwards."""


class Flip(Reported):
    """A setting that has returned to a value that it had before."""

    network: str
    node: str
    setting: str
    unit: str | None
    values: list[Reading]
    returns: int
    """How many times it returned."""


class Creep(Reported):
    """A number that has moved in the same direction at least twice running."""

    network: str
    node: str
    setting: str
    alarm: bool
    """Whether the control room relies on it."""
    unit: str | None
    values: list[Reading]
    moves: int
    total: str
    """How far in total, with its sign."""
    percent_of_range: float | None
    """The same in percent of the device's range, as last read; null if no range is known."""
    still: bool
    """Whether the last move is also the latest that is known of the setting."""


class Standing(Reported):
    """A finding, and how long it was open, or has been open."""

    rule: str
    level: Level
    network: str | None
    node: str | None
    settings: list[str]
    since: str
    gone_by: str | None
    """The first baseline that no longer has it; null if it is still open."""
    days: int
    """Days until then, or until the last baseline."""
    waived: str | None
    """Id of the waiver that excuses it in the last baseline that has it."""
    not_read: list[str] = []
    """Baselines in between in which its subject was not read: nothing there shows that it was corrected."""

    @property
    def unread(self) -> str:
        """When it was not read, in words that follow others; blank if it always was."""
        return f", not read {', '.join(self.not_read)}" if self.not_read else ""

    @property
    def end(self) -> str:
        """When it was closed, in words, and when it was not read."""
        return f"{self.gone_by or 'open'}{self.unread}"


class Cell(Reported):
    """What happened to a device between the previous baseline and this one."""

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
    """The history of a site, most important first."""

    schema_: Literal["asfound/history/1"]
    site: str
    baselines: list[BaselineLine]
    """Oldest first."""
    doubts: list[str]
    """What is wrong with the chain of baselines; empty if it holds."""
    creeps: list[Creep]
    """Alarms first, then by number of moves and share of the range."""
    flips: list[Flip]
    standing: list[Standing]
    """Findings that are still open, oldest first, then those that are closed."""
    events: list[DeviceEvent]
    changes: list[SettingChange]
    """By baseline, then in the plan's order."""
    networks: list[NetworkLine]
    cautions: list[str]
