"""Two values of one device that stand in each other's place, such as low and high alarm."""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.causes import Causes, comparisons, found_and_planned, link
from audit.model.rule import Rule
from audit.model.site import Site


def exchanged(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find two settings of a device of which each shows what is planned for the other."""
    by_device: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, item in comparisons(site, enumerate(items), causes):
        if len(item.hit.settings) == 1:
            by_device[item.hit.order].append(i)
    for (b, k), mine in by_device.items():
        block = site.blocks[b]
        for i, j in combinations(mine, 2):
            if i in causes or j in causes:
                continue
            one, other = (found_and_planned(site, items[n], items[n].hit.settings[0]) for n in (i, j))
            names = [items[n].hit.settings[0] for n in (i, j)]
            settings = [s for s in block.type.settings if s.name in names]
            if one == other[::-1] and None not in one and len({s.unit for s in settings}) == 1:
                first, second = (setting.name for setting in settings)
                message = f"{first} and {second} are exchanged: each shows what is planned for the other"
                items.append(Found(rule, hit(block, b, k, settings, message)))
                for n in (i, j):
                    link(causes, n, len(items) - 1)
