"""What an auditor asks for beyond findings: inventory, access, records, changes, exceptions, closure."""

from __future__ import annotations

from audit.model.reported import Reported


class InventoryLine(Reported):
    """The devices of one type."""

    type: str
    devices: int
    read: int
    serials_read: int
    """Devices whose serial number was read, not merely planned."""
    firmware: dict[str, int]
    """Version as read → devices; empty if the type has none to read."""
    firmware_not_read: int


class ControlLine(Reported):
    """A setting that controls access, over all devices that have it."""

    what: str
    """Its meaning, as the roles describe it."""
    devices: int
    as_planned: int
    otherwise: int
    not_read: int
    """A setting that was not read shows nothing, and counts neither way."""
    not_planned: int
    """Devices for which the plan does not say what it should be."""
    found: dict[str, int] = {}
    """Value as read → devices; in drift, because being as in the baseline is not being as it should be."""


class CodeTrials(Reported):
    """Whether the factory access code was refused where it was tried."""

    devices: int
    refused: int
    accepted: int
    """Including those whose exported code is the factory code, whatever the recorded trial says."""
    not_tried: int
    """Including those where nothing was noted: a blank means not tried."""
    not_read: int = 0
    """Devices of which nothing at all was read."""
    disproved: int = 0
    """Devices recorded as having refused the factory code whose exported code is the factory code."""
    cannot_show: int = 0
    """Devices whose type has no setting for it, and of which no code was exported either."""
    by: list[str]
    """Who tried, from when to when, and at how many devices, as far as the readback says."""


class Closed(Reported):
    """A finding of the earlier result that is no longer reported, and what shows that it is closed."""

    finding: str
    """Its id."""
    message: str
    was: str | None
    now: str | None
    place: str | None
    """Where that is written; null if nothing was read since, so that nothing shows it."""


class Evidence(Reported):
    """The evidence of one run."""

    inventory: list[InventoryLine]
    codes: CodeTrials | None
    """Null if no device type has the setting."""
    controls: list[ControlLine]
    records: list[str] = []
    """Alarms that are off, trims, licences and what is recorded elsewhere, one sentence each."""
    changes: str
    """What is known about changes since a baseline, in one sentence."""
    exceptions: str
    """How many waivers there are, in one sentence; the waivers themselves are listed."""
    closed: list[Closed] | None
    """Null if no earlier result was given."""
    command: str
    """The command that reproduces this result from the same files."""
