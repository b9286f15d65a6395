"""Devices since a baseline: exchanged, renamed, moved, added and gone."""

from __future__ import annotations

from audit.drifting.pending import pending
from audit.drifting.sides import Sides
from audit.drifting.units import matched
from audit.drifting.whereabouts import gone_and_come, moved
from audit.model.drift import DeviceDrift


def device_drifts(sides: Sides) -> list[DeviceDrift]:
    """Return what became of devices as a whole, in the order of the baseline."""
    finders = (matched, moved, gone_and_come, pending)
    return sorted((drift for find in finders for drift in find(sides)), key=lambda drift: drift.order)
