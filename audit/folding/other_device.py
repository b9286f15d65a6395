"""Values of another device's plan on a device that was read with the other's serial number or tag."""

from __future__ import annotations

from collections.abc import Sequence

from audit.checking import Found
from audit.folding.beside import own_against, shows_plan_of
from audit.folding.causes import Causes, comparisons, link, serials_read
from audit.model.rule import Rule
from audit.model.site import Site, Target

Mixed = dict[Target, tuple[Target, int]]
"""Device → the one it was mixed up with, and the finding that says so."""


def of_other_device(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put values that are as planned for the device mixed up with this one under the finding about that.

    The other was read in place of this one, or the two units have changed places, wherever they are planned.
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
    """Return both devices of each pair whose units have changed places."""
    swaps = {i: item.hit for i, item in enumerate(items) if item.rule.id == "units-swapped"}
    places = site.by_tag() if swaps else {}
    mixed: Mixed = {}
    for i, swap in swaps.items():
        partner = places[swap.others[0]]
        mixed |= {swap.order: (partner, i), partner: (swap.order, i)}
    return mixed
