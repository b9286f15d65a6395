"""What has been read so far: the entries of the file, device by device."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from audit.entering.devices import Device, Step, ToRead
from audit.model.entry import Entry
from audit.reading.entries import Key, Line
from audit.reading.identifiers import bare

Status = Literal["open", "read", "left out"]


@dataclass(frozen=True, slots=True)
class Progress:
    """The newest entry of each setting of each device."""

    newest: Mapping[Key, Entry] = field(default_factory=dict)
    strangers: Mapping[str, int] = field(default_factory=dict)
    """What is not in the plan, a tag or a tag in a network → the line on which it first appears."""

    def with_lines(self, lines: Iterable[Line], wanted: ToRead) -> Progress:
        """Return the progress after more lines of the file."""
        newest, strangers = dict(self.newest), dict(self.strangers)
        exact = {(device.network, device.tag): [device] for device in wanted.devices}
        for line in lines:
            entry = line.entry
            found = exact.get((entry.network, entry.tag)) or wanted.named(
                bare(entry.tag), bare(entry.network)
            )
            if len(found) == 1:
                newest[found[0].network, found[0].tag, line.name] = entry
            elif not found:
                moved = wanted.named(bare(entry.tag))
                who = f"{entry.tag} in network {entry.network}" if moved else entry.tag
                strangers.setdefault(who, line.number)
        return Progress(newest, strangers)

    def entry(self, device: Device, step: Step) -> Entry | None:
        """Return the newest reading of a setting, None if there is none or the setting was left out since."""
        entry = self.newest.get((device.network, device.tag, step.name))
        return entry if entry and entry.skipped is None else None

    def status(self, device: Device, step: Step) -> Status:
        """Return whether a setting is still to be read."""
        entry = self.newest.get((device.network, device.tag, step.name))
        if entry is None:
            return "open"
        return "read" if entry.skipped is None else "left out"

    def count(self, device: Device, status: Status) -> int:
        """Return how many settings of a device have a status."""
        return sum(self.status(device, step) == status for step in device.steps)

    def finished(self, device: Device) -> bool:
        """Tell whether everything on a device was read or left out."""
        return not self.count(device, "open")

    def begun(self, device: Device) -> bool:
        """Tell whether anything on a device was read or left out."""
        return self.count(device, "open") < len(device.steps)
