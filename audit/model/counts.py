"""Counts: how much was compared, on the whole site and in each network, and how it turned out."""

from __future__ import annotations

from audit.model.reported import Reported


class Counts(Reported):
    """How much was compared."""

    networks: int
    devices: int
    devices_read: int
    verified: int
    """Planned settings read back as planned."""
    differing: int
    """Planned settings read back with a different value."""
    not_read: int
    """Planned settings that were not read back, or not clearly."""
    errors: int
    """Findings of this level that no waiver excuses; the next two likewise."""
    warnings: int
    notes: int
    waived: int
    root_causes: int


class NearMisses(Reported):
    """Readings that count as planned, but only within a step of the display."""

    readings: int
    farthest: str
    """The one that is farthest from its planned number for its size, in words."""


class NetworkCounts(Reported):
    """How much was compared in one network."""

    network: str
    gateway: str
    devices: int
    devices_read: int
    verified: int
    differing: int
    not_read: int
    errors: int
    warnings: int
    notes: int
    waived: int
