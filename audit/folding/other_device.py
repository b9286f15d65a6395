"""What a device shows of another's plan, where its serial number or its tag is that other's: one cause."""

from __future__ import annotations

from collections.abc import Sequence

from audit.checking import Found
from audit.folding.beside import own_against, shows_plan_of
from audit.folding.causes import Causes, comparisons, link, serials_read
from audit.model.rule import Rule
from audit.model.site import Site, Target

Mixed = dict[Target, tuple[Target, int]]
"""Device → the one that it was mixed up with, and the finding that says so."""


def of_other_device(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put what differs on a device and is as planned for the one it was mixed up with under that finding.

    It was read in place of it, or the two units have changed places, wherever these stand in the plan.
    """
    mixed = _read_in_place(site, items) | _changed_places(site, items)
    for i, item in comparisons(site, enumerate(items), causes) if mixed else ():
        other, cause = mixed.get(item.hit.order, (None, 0))
        if other and shows_plan_of(site, item, other) and not own_against(site, item.hit.order, other):
            link(causes, i, cause)


def _read_in_place(site: Site, items: Sequence[Found]) -> Mixed:
    """Return devices under whose tag another planned serial number was read."""
    read = serials_read(site, items)
    owners = site.by_serial() if read else {}
    return {
        device: (owner, i)
        for device, (serial, i) in read.items()
        if (owner := owners.get(serial)) and owner != device
    }


def _changed_places(site: Site, items: Sequence[Found]) -> Mixed:
    """Return both of two devices whose units have changed places."""
    swaps = {i: item.hit for i, item in enumerate(items) if item.rule.id == "units-swapped"}
    places = site.by_tag() if swaps else {}
    mixed: Mixed = {}
    for i, swap in swaps.items():
        partner = places[swap.others[0]]
        mixed |= {swap.order: (partner, i), partner: (swap.order, i)}
    return mixed
