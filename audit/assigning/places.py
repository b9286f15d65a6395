"""Where in the plan a proposed value goes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection

from audit.figures.surroundings import Device
from audit.judging.findings import evidence_place
from audit.model.device import Setting
from audit.model.site import Site
from audit.model.suggestion import PlanChange
from audit.phrases import row_or_line

Spot = tuple[str, int | None, str | None]
"""File, row and column of a value in the plan."""


def change_of(device: Device, setting: Setting, after: str, why: str) -> PlanChange:
    """Return the change of a device's planned value to another."""
    value = device.block.value("planned", setting.name, device.i)
    place = device.block.planned_place(device.i, setting.name)
    return PlanChange(
        network=device.network,
        node=device.tag,
        setting=setting.name,
        before=value.shown if value.read else "",
        after=after,
        why=why,
        place=evidence_place(place) if value.read and place.file else None,
    )


def by_hand(change: PlanChange, of_several: Collection[Spot]) -> str:
    """Return a change that no patch makes, with the place in the plan where it is to be made.

    `of_several`: where the plan says something of several devices at once, so that nothing is changed there.
    """
    words = f"{change.node}: {change.setting} {change.before or 'none'} → {change.after}"
    place = change.place
    if place is None:
        return f"{words}, added to {change.node} in the plan, which does not give it yet"
    here = f"{place.file} [{place.sheet}]" if place.sheet else place.file
    here += f" {row_or_line(place.file)} {place.row}" if place.row else ""
    here += f" column {place.column}" if place.column and not place.record else ""
    if (place.file, place.row, place.column) in of_several:
        return f"{words}, written at {change.node} itself, since {here} is for several devices"
    return f"{words}, in {here}"


def of_several(site: Site, role: str) -> set[Spot]:
    """Return where the plan says something of several devices at once, as a default does.

    A channel is one for all devices of a network; where it stands for several networks it is no longer.
    """
    whose: dict[Spot, set[object]] = defaultdict(set)
    for b, block in enumerate(site.blocks):
        setting = block.first_setting(role)
        if setting is None or setting.name not in block.planned:
            continue
        for i, network in enumerate(block.networks):
            place = block.planned_place(i, setting.name)
            if place.raw:
                owner = network if role == "channel" else (b, i)
                whose[place.file, place.row, place.column].add(owner)
    return {spot for spot, owners in whose.items() if len(owners) > 1}
