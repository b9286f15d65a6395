"""Who was visited: a node of which something was read that only the node itself shows.

A node that stands in a list of the host or the gateway has not been visited by that.
"""

from __future__ import annotations

from collections.abc import Sequence

from audit.checking import Found
from audit.folding.unread import says_unread
from audit.model.device import AT_THE_DEVICE
from audit.model.site import Site
from audit.sampling.by_chance import Unit
from audit.sampling.nodes import placed_units


def visited(site: Site) -> set[Unit]:
    """Return the nodes of which a setting was read at its display or its label."""
    found: set[Unit] = set()
    for block, i, unit in placed_units(site.blocks):
        if block.rows[i]:
            names = [setting.name for setting in block.type.settings if setting.read_at in AT_THE_DEVICE]
            if any(block.value("found", name, i).state != "blank" for name in names):
                found.add(unit)
    return found


def without_unasked(site: Site, found: Sequence[Found]) -> list[Found]:
    """Return findings without those that say of a node that it was not read, where nobody was to visit it."""
    if site.sample is None:
        return list(found)
    asked = visited(site) | {Unit(place.network, place.node) for place in site.sample.places}
    others = {unit for _, _, unit in placed_units(site.blocks)} - asked
    return [item for item in found
            if not (says_unread(item) and Unit(item.hit.network, item.hit.node) in others)]  # fmt: skip
