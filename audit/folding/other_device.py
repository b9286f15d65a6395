"""Values of another device's plan on a device that was read with the other's serial number or tag."""

from __future__ import annotations

from collections.abc import Iterator

from audit.folding.beside import own_against, shows_plan_of
from audit.folding.findings import Findings, Under
from audit.model.site import Target

Mixed = dict[Target, tuple[Target, int]]
"""Device → the one it was mixed up with, and the finding that says so."""


def of_other_device(findings: Findings, at_least: int) -> Iterator[Under]:
    """Put values that are as planned for the device mixed up with this one under the finding about that.

    The other was read in place of this one, or the two units have changed places, wherever they are planned.
    """
    site = findings.site
    mixed = _read_in_place(findings) | _changed_places(findings)
    for i, item in findings.comparisons() if mixed else ():
        other, cause = mixed.get(item.hit.order, (None, 0))
        if other and shows_plan_of(site, item, other) and not own_against(site, item.hit.order, other):
            yield Under(i, cause)


def _read_in_place(findings: Findings) -> Mixed:
    """Return devices under whose tag another planned serial number was read."""
    read = findings.serials_read()
    owners = findings.site.by_serial() if read else {}
    return {
        device: (owner, i)
        for device, (serial, i) in read.items()
        if (owner := owners.get(serial)) and owner != device
    }


def _changed_places(findings: Findings) -> Mixed:
    """Return both devices of each pair whose units have changed places."""
    swaps = {i: item.hit for i, item in enumerate(findings.items) if item.rule.id == "units-swapped"}
    places = findings.site.by_tag() if swaps else {}
    mixed: Mixed = {}
    for i, swap in swaps.items():
        partner = places[swap.others[0]]
        mixed |= {swap.order: (partner, i), partner: (swap.order, i)}
    return mixed
