"""Two values of one device that are swapped, such as low and high alarm."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from audit.checks.context import hit
from audit.folding.about import found_and_planned
from audit.folding.findings import Cause, Findings


def swapped(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find pairs of settings of a device where each shows what is planned for the other."""
    site, items = findings.site, findings.items
    for (b, k), mine in findings.by_device().items():
        block = site.blocks[b]
        for i, j in combinations(mine, 2):
            if i in findings.causes or j in findings.causes:
                continue
            one, other = (found_and_planned(site, items[n]) for n in (i, j))
            names = [items[n].hit.settings[0] for n in (i, j)]
            settings = [s for s in block.type.settings if s.name in names]
            chance = any(setting.kind in ("flag", "option") for setting in settings)  # they have few values
            if one == other[::-1] and None not in one and not chance and len({s.unit for s in settings}) == 1:
                first, second = (setting.name for setting in settings)
                message = f"{first} and {second} are swapped: each shows what is planned for the other"
                yield Cause(hit(block, b, k, settings, message), (i, j))
