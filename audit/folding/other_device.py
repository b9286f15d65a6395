"""Rows with the serial number of another planned device, and its settings: it was read in their place."""

from __future__ import annotations

from audit.checking import Found
from audit.folding.beside import shows_plan_of
from audit.folding.causes import Causes, comparisons, link, newest_row
from audit.model.rule import Rule
from audit.model.site import Site


def of_other_device(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put what differs on a device under its wrong serial number, if it is that serial's device's plan."""
    wrong = {item.hit.order: i for i, item in enumerate(items) if item.rule.id == "tag-serial-mismatch"}
    owners = {
        serial: (b, k)
        for b, block in enumerate(site.blocks if wrong else ())
        for k, serial in enumerate(block.serials)
        if serial
    }
    for i, item in comparisons(site, enumerate(items), causes) if wrong else ():
        if item.hit.order in wrong:
            table, entry = newest_row(site, item)
            owner = owners.get(table.texts("serial")[entry].strip())
            if owner and owner != item.hit.order and shows_plan_of(site, item, owner):
                link(causes, i, wrong[item.hit.order])
