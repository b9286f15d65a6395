"""Which nodes were visited: those of which something was read that only the node itself shows.

Being in a list from the host or the gateway does not make a node visited.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence, Set

from audit.checking import Found
from audit.folding.unread import says_unread
from audit.model.device import AT_THE_DEVICE
from audit.model.sample import Sample
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


def asked_for(sample: Sample) -> set[Unit]:
    """Return the nodes that a sample names."""
    return {unit_of(place) for place in sample.places}


def not_sampled(site: Site, asked: Set[Unit]) -> set[Unit]:
    """Return the nodes that nobody was to visit, which is all but those `asked` for, and nobody has."""
    return {unit for _, _, unit in placed_units(site.blocks)} - asked - visited(site)


def without_unread(found: Sequence[Found], nodes: Collection[Unit]) -> list[Found]:
    """Return findings without those that say that one of these nodes was not read."""
    return [
        item for item in found if not (says_unread(item) and Unit(item.hit.network, item.hit.node) in nodes)
    ]
