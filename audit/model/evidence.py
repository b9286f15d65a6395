"""What an auditor asks for besides findings: inventory, access, records, changes, exceptions, closure."""

from __future__ import annotations

from audit.model.reported import Reported


class InventoryLine(Reported):
    """The devices of one type."""

    type: str
    devices: int
    read: int
    serials_read: int
    """Devices whose serial number was read, and not only planned."""
    firmware: dict[str, int]
    """Version as read → devices; empty where the type has none to read."""
    firmware_not_read: int


class ControlLine(Reported):
    """A setting that keeps people out, over all devices that have it."""

    what: str
    """Its meaning, in the words of the roles."""
    devices: int
    as_planned: int
    otherwise: int
    not_read: int
    """What was not read shows nothing, and counts for nothing."""
    not_planned: int
    """Devices for which the plan does not say how it is to be."""
    found: dict[str, int] = {}
    """Value as read → devices: in drift, as in the baseline is not as it ought to be."""


class CodeTrials(Reported):
    """Whether the factory access code was refused where it was tried."""

    devices: int
    refused: int
    accepted: int
    """Also where the exported code is the factory's, whatever a trial is said to have shown."""
    not_tried: int
    """Also where nothing was noted: a blank is not tried."""
    not_read: int = 0
    """Devices of which nothing at all was read."""
    disproved: int = 0
    """Devices said to have refused the factory code, whose exported code is the factory's."""
    by: list[str]
    """Who tried, from when to when, and at how many devices; as far as the readback says so."""


class Closed(Reported):
    """A finding of the earlier result that is not told again, and what shows that it is no more."""

    finding: str
    """Its id."""
    message: str
    was: str | None
    now: str | None
    place: str | None
    """Where that stands; null where nothing was read of it since, so that nothing shows it."""


class Evidence(Reported):
    """The evidence of one run."""

    inventory: list[InventoryLine]
    codes: CodeTrials | None
    """Null where no device type has the setting."""
    controls: list[ControlLine]
    records: list[str] = []
    """Alarms that are off, trims, licences, and what is recorded elsewhere, a sentence each."""
    changes: str
    """What is known of changes since a baseline, in a sentence."""
    exceptions: str
    """How many waivers there are, in a sentence; they are listed."""
    closed: list[Closed] | None
    """Null where no earlier result was given."""
    command: str
    """What makes this result again from the same files."""
