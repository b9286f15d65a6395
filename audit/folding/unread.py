"""What was not read, on many devices or much of one."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_cause, add_root
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site


def unread(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find settings that were not read on many nodes of a network, and networks that nobody read.

    Where the same nodes lack several settings, they were read only in part: that is one cause.
    """
    groups: dict[tuple[str, str, tuple[str, ...]], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and says_unread(item):
            groups[item.rule.id, item.hit.network, item.hit.settings].append(i)
    alike: dict[tuple[str, bool, tuple[str, ...]], list[int]] = defaultdict(list)
    for (_, network, settings), group in groups.items():
        if len(group) >= at_least:
            alike[network, bool(settings), tuple(items[i].hit.node for i in group)] += group
    for (network, some, tags), group in alike.items():
        names = tuple(dict.fromkeys(name for i in group for name in items[i].hit.settings[:1]))
        what = f"{names[0]} was not read" if some else "nothing at all was read"
        message = f"{what} on {len(tags)} devices"
        if len(names) > 1:
            message = f"{len(names)} settings were not read on {len(tags)} devices: {', '.join(names)}"
        settings = items[group[0]].hit.settings if len(names) == 1 else ()
        add_root(items, causes, rule, group, network, message, tags, settings)


def unread_device(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find devices on which several settings were not read."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.hit.settings and item.hit.node and says_unread(item):
            groups[item.hit.network, item.hit.node].append(i)
    for (network, node), group in groups.items():
        if len(group) >= at_least:
            hits = [items[i].hit for i in group]
            names = tuple(dict.fromkeys(name for hit in hits for name in hit.settings))
            planned = ", ".join(f"{hit.settings[0]} {hit.planned}" for hit in hits if hit.planned)
            places = tuple(place for hit in hits for place in hit.places[:1])
            message = f"{len(names)} settings were not read: {', '.join(names)}"
            order = hits[0].order
            root = Hit(network, node, names, message, planned, places=places, order=order)
            add_cause(items, causes, rule, root, group)


def says_unread(item: Found) -> bool:
    """Tell whether a finding says that something was not read."""
    check = item.rule.check
    if check.kind == "access-code":
        return check.what == "not-tried"
    if check.kind == "drift":
        return check.what == "not-read"
    if check.kind == "device-drift":
        return check.case == "drift" and item.hit.event == "gone"
    return check.kind == "read-back" and not item.hit.found


def says_unclear(item: Found) -> bool:
    """Tell whether a finding says that what was read means nothing, so that it counts as not read."""
    return item.asks("read-back", "clear-value")
