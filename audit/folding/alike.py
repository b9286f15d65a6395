"""Many nodes that differ from the plan in the same way."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root, comparisons, found_and_planned, role_of
from audit.model.rule import Rule
from audit.model.site import Site


def same_difference(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find many nodes of a network that show the same wrong value of a setting."""
    groups: dict[tuple[str, str, str, tuple[object, object]], list[int]] = defaultdict(list)
    for i, item in comparisons(site, enumerate(items), causes):
        name = item.hit.settings[0]
        found, planned = found_and_planned(site, item, name)
        each_its_own = role_of(site, item) == "address"
        groups[item.rule.id, item.hit.network, name, (found, None if each_its_own else planned)].append(i)
    for (_, network, name, _), group in groups.items():
        if len(group) >= at_least:
            shown, tags = items[group[0]].hit.found, [items[i].hit.node for i in group]
            plans = {items[i].hit.planned for i in group}
            planned = plans.pop() if len(plans) == 1 else ""
            message = f"{name} is {shown} on {len(group)} nodes, planned {planned or 'with other values'}"
            add_root(items, causes, rule, group, network, message, tags, (name,))
