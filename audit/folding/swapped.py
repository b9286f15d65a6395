"""Two values of one device that are swapped, such as low and high alarm."""

from __future__ import annotations

from itertools import combinations

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.causes import Causes, add_cause, by_device, found_and_planned
from audit.model.rule import Rule
from audit.model.site import Site


def swapped(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find pairs of settings of a device where each shows what is planned for the other."""
    for (b, k), mine in by_device(site, items, causes).items():
        block = site.blocks[b]
        for i, j in combinations((i for i in mine if len(items[i].hit.settings) == 1), 2):
            if i in causes or j in causes:
                continue
            one, other = (found_and_planned(site, items[n], items[n].hit.settings[0]) for n in (i, j))
            names = [items[n].hit.settings[0] for n in (i, j)]
            settings = [s for s in block.type.settings if s.name in names]
            chance = any(setting.kind in ("flag", "option") for setting in settings)  # they have few values
            if one == other[::-1] and None not in one and not chance and len({s.unit for s in settings}) == 1:
                first, second = (setting.name for setting in settings)
                message = f"{first} and {second} are swapped: each shows what is planned for the other"
                add_cause(items, causes, rule, hit(block, b, k, settings, message), (i, j))
