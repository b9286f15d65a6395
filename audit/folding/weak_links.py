"""Links of one network that are planned with too little margin: they end at the same gateway."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_cause
from audit.model.asked_of_figures import FigureLimits
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site


def weak_links(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put the planned links of a network that lack margin under one finding about the network.

    Findings on what was read stay by themselves: an antenna or a connector is one node's.
    """
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        check = item.rule.check
        weak = isinstance(check, FigureLimits) and check.figure == "link-margin"
        if weak and item.hit.side == "planned" and i not in causes:
            groups[item.rule.id, item.hit.network].append(i)
    for (_, network), group in groups.items():
        if len(group) < at_least:
            continue
        nodes = sum(block.networks.count(network) for block in site.blocks if not block.gateway)
        message = f"{len(group)} of {nodes} nodes have a weak link in the plan"
        tags = tuple(items[i].hit.node for i in group)
        b, k = site.gateways[network]
        root = Hit(network, "", (), message, places=(site.blocks[b].planned_place(k, "tag"),), others=tags,
                   side="planned", order=items[group[0]].hit.order)  # fmt: skip
        add_cause(items, causes, rule, root, group)
