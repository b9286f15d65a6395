"""Causes that were found device by device and are the same: they are reported once for all devices."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root

FEWEST = 3
"""Fewest devices with the same cause that are joined. Judgement."""


def join_alike(items: list[Found], causes: Causes) -> None:
    """Put causes found at single devices of a network by one pattern, in the same words, under one."""
    groups: dict[tuple[str, str, tuple[str, ...], str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if item.folds() and i not in causes and item.hit.node:
            groups[item.rule.id, item.hit.network, item.hit.settings, item.hit.message].append(i)
    for (_, network, settings, message), group in groups.items():
        if len(group) >= FEWEST:
            tags = [items[i].hit.node for i in group]
            joined = f"on {len(group)} devices: {message}"
            add_root(items, causes, items[group[0]].rule, group, network, joined, tags, settings)
