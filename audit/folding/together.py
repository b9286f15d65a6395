"""Nodes of a network that are all silent, or all in no list: one look at the gateway comes first."""

from __future__ import annotations

from collections import Counter, defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_cause
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site

SIGNS = {
    "silent-node": "have been silent for longer than they may be",
    "not-joined": "stand in no gateway's list",
    "joined-wrong-gateway": "stand in another gateway's list",
}
"""Rules whose findings lie at the gateway where nearly all nodes have them; what is said of the nodes."""
SHARE = 0.8
"""Of the nodes of a network that were read or listed: so many and more are no chance. Judgement."""


def silent_together(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put what nearly all nodes of a network have in common under one finding about their gateway.

    Nodes whose own settings explain it say neither that the others share a cause nor that they do not.
    """
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.rule.id in SIGNS and item.hit.node:
            groups[item.hit.network, item.rule.id].append(i)
    read = _nodes_seen(site) if groups else Counter[str]()
    explained = Counter(
        (item.hit.network, item.rule.id)
        for i, item in enumerate(items)
        if i in causes and item.rule.id in SIGNS
    )
    for (network, sign), group in groups.items():
        others = explained[network, sign]
        if len(group) >= max(at_least, SHARE * (read[network] - others)):
            b, g = site.gateways[network]
            tags = tuple(items[i].hit.node for i in group)
            besides = f", and {others} more with causes of their own" if others else ""
            message = f"{len(group)} of {read[network]} nodes {SIGNS[sign]}{besides}"
            places = items[group[0]].hit.places[:1]
            tag = site.blocks[b].tags[g]
            root = Hit(network, tag, (), message, places=places, others=tags, order=(b, g))
            add_cause(items, causes, rule, root, group)


def _nodes_seen(site: Site) -> Counter[str]:
    """Return network → how many of its nodes have a row in the readback, or in a gateway's list."""
    return Counter(network for block in site.blocks if not block.gateway for network in block.networks_seen())
