"""Readings of one file that are unclear in one way: a decimal mark, a word of another language."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root
from audit.model.rule import Rule
from audit.model.site import Site


def unclear_alike(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find readings of a network and file of which the same is to be said, and put them under one finding."""
    groups: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.rule.check.kind == "read-back" and item.rule.check.what == "clear-value":
            groups[item.hit.network, item.hit.places[0].file, _complaint(item)].append(i)
    for (network, _, _), group in groups.items():
        if len(group) >= at_least:
            hits = [items[i].hit for i in group]
            tags = list(dict.fromkeys(hit.node for hit in hits))
            names = tuple(dict.fromkeys(name for hit in hits for name in hit.settings))
            first = hits[0].message.partition(": ")[2]
            devices = f"{len(tags)} devices" if len(tags) > 1 else f"{tags[0]}"
            message = f"{len(group)} readings of {', '.join(names)} on {devices} are unclear alike: {first}"
            add_root(items, causes, rule, group, network, message, tags, names)


def _complaint(item: Found) -> str:
    """Return what is said of a reading, without its setting and its text."""
    note = item.hit.message.partition(": ")[2]
    return note.replace(repr(item.hit.places[0].raw.strip()), "", 1)
