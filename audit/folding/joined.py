"""Causes that were found device by device, and are one: what has been said of each is said once of all."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root

FEWEST = 3
"""Fewest devices of which the same is said before it is said once. Judgement."""


def join_alike(items: list[Found], causes: Causes) -> None:
    """Put causes that a pattern found at single devices of a network, all in the same words, under one."""
    groups: dict[tuple[str, str, tuple[str, ...], str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if item.rule.check.kind == "fold" and i not in causes and item.hit.node:
            groups[item.rule.id, item.hit.network, item.hit.settings, item.hit.message].append(i)
    for (_, network, settings, message), group in groups.items():
        if len(group) >= FEWEST:
            tags = [items[i].hit.node for i in group]
            said = f"on {len(group)} devices alike: {message}"
            add_root(items, causes, items[group[0]].rule, group, network, said, tags, settings)
