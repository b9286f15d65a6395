"""Which nodes were visited: those of which something was read that only the node itself shows.

Being in a list from the host or the gateway does not make a node visited.
"""

from __future__ import annotations

from collections.abc import Sequence

from audit.checking import Found
from audit.folding.unread import says_unread
from audit.model.device import AT_THE_DEVICE
from audit.model.site import Site
from audit.sampling.by_chance import Unit, unit_of
from audit.sampling.nodes import placed_units


def visited(site: Site) -> set[Unit]:
    """Return the nodes of which a setting was read on the display or the label."""
    found: set[Unit] = set()
    for block, i, unit in placed_units(site.blocks):
        if block.rows[i]:
            names = [setting.name for setting in block.type.settings if setting.read_at in AT_THE_DEVICE]
            if any(block.value("found", name, i).state != "blank" for name in names):
                found.add(unit)
    return found


def without_unasked(site: Site, found: Sequence[Found]) -> list[Found]:
    """Return findings without those that say a node was not read although nobody was to visit it."""
    if site.sample is None:
        return list(found)
    asked = visited(site) | {unit_of(place) for place in site.sample.places}
    others = {unit for _, _, unit in placed_units(site.blocks)} - asked
    return [item for item in found
            if not (says_unread(item) and Unit(item.hit.network, item.hit.node) in others)]  # fmt: skip
