"""Files that write tags or serial numbers in another way all through: `510011.0`, small letters, 4.02E+11."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root, network_of
from audit.model.rule import Rule
from audit.model.site import Site

WAYS = ("respelled", "serial-damaged", "became-date")
"""What comes from the way in which a program or a person writes all identities."""


def respelled(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find files with several rows that have the same finding about their tag or serial number."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.asks("identity", *WAYS):
            groups[item.rule.id, item.hit.places[0].file].append(i)
    for (_, file), group in groups.items():
        if len(group) >= at_least:
            hits = [items[i].hit for i in group]
            message = f"on {len(group)} devices of {file}, for instance {hits[0].node}: {hits[0].message}"
            add_root(items, causes, rule, group, network_of(hits), message, [hit.node for hit in hits], ())
