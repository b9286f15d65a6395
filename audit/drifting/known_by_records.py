"""Devices since a baseline that change records alone show to be there: all their names are new."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from audit.drifting.sides import Sides
from audit.model.drift import DeviceDrift, ReadChange
from audit.model.identified import Stranger
from audit.model.site import Target
from audit.reading.identifiers import spelling

NOT_COMPARED = "; its settings were compared with nothing: `asfound check` compares them with the plan"
"""Said of every device that is not in the baseline, so that a note about it does not pass for a check."""


def known_by_records(sides: Sides) -> Mapping[Target, tuple[Stranger, DeviceDrift]]:
    """Return the devices not found that were exchanged and renamed, by records that account for all names.

    Each with the device under its new names, and what became of it.
    """
    numbered = {spelling(its.serial): its for its in sides.site.strangers if its.serial}
    found: dict[Target, tuple[Stranger, DeviceDrift]] = {}
    for b, block in enumerate(sides.site.blocks) if numbered else ():
        for i in block.unread():
            exchanges = sides.records.of_device("exchange", (b, i))[-1:]
            stranger = numbered.get(spelling(exchanges[0].after)) if exchanges else None
            others = _renaming(sides, (b, i), stranger) if stranger else []
            if stranger and others:
                found[b, i] = stranger, _drift(sides, (b, i), stranger, [*exchanges, *others])
    return found


def _renaming(sides: Sides, target: Target, stranger: Stranger) -> list[ReadChange]:
    """Return the records that give a device the tag and the network of another; none if they do not."""
    retags = sides.retags(target, stranger.tag)[-1:]
    moves = sides.records.of_device("move", target)[-1:]
    networks = [moves[0].after] if moves else sides.records.baseline.names(*target, "network")
    there = not stranger.network or any(
        sides.records.baseline.are_one_network(stranger.network, network) for network in networks
    )
    return [*retags, *moves] if retags and there else []


def _drift(sides: Sides, target: Target, stranger: Stranger, records: Sequence[ReadChange]) -> DeviceDrift:
    """Return the drift that a device is there with another unit, under another tag."""
    block, i = sides.site.blocks[target[0]], target[1]
    message = (
        f"the unit was exchanged: serial {block.serials[i]} in the baseline, {stranger.serial} now, "
        f"under the tag {stranger.tag}"
    )
    places = (stranger.place("serial"), block.planned_place(i, "serial"))
    drift = sides.drift("exchanged", target, message, before=block.serials[i], found=stranger.serial,
                        places=places, explaining=records)  # fmt: skip
    return replace(drift, message=drift.message + NOT_COMPARED)
