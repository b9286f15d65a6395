"""Devices since a baseline: exchanged, renamed, moved, added and gone."""

from __future__ import annotations

from audit.drifting.aligning import Aligned
from audit.drifting.pending import pending
from audit.drifting.records import Records
from audit.drifting.sides import Sides
from audit.drifting.units import matched
from audit.drifting.whereabouts import came, gone, moved
from audit.model.baseline import Content
from audit.model.drift import DeviceDrift
from audit.model.site import Site


def device_drifts(
    site: Site, aligned: Aligned | None, content: Content, records: Records
) -> list[DeviceDrift]:
    """Return what became of devices as a whole, in the order of the baseline."""
    sides = Sides(site, aligned, content, records)
    finders = (matched, moved, gone, came, pending)
    return sorted((drift for find in finders for drift in find(sides)), key=lambda drift: drift.order)
