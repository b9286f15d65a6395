"""Registers that are all one beside the plan: the host counts from another number than the plan."""

from __future__ import annotations

from collections import Counter, defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root, found_and_planned
from audit.model.rule import Rule
from audit.model.site import Site


def counted_otherwise(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find networks of which at least half of the numbers read are one more, or one less, than planned."""
    groups: dict[tuple[str, str, int], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.rule.check.kind == "within-one" and item.hit.side == "found":
            name = item.hit.settings[0]
            found, planned = found_and_planned(site, item, name)
            if isinstance(found, int) and isinstance(planned, int):
                groups[item.hit.network, name, found - planned].append(i)
    of_setting = {name: _read(site, name) for name in {name for _, name, _ in groups}}
    for (network, name, step), group in groups.items():
        read = of_setting[name][network]
        if len(group) >= max(at_least, read / 2):
            more = "more" if step > 0 else "less"
            tags = [items[i].hit.node for i in group]
            message = (
                f"{name} is one {more} than planned on {len(group)} of {read} devices: counted otherwise"
            )
            add_root(items, causes, rule, group, network, message, tags, (name,))


def _read(site: Site, name: str) -> Counter[str]:
    """Return network → on how many of its devices a setting was read."""
    return Counter(
        network
        for block in site.blocks
        for network, value in zip(block.networks, block.column("found", name) or (), strict=False)
        if value.read
    )
