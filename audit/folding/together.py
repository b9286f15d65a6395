"""Nodes of a network that are all silent, or all in no gateway's list: the gateway is looked at first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

from audit.checking import Found
from audit.folding.about import as_planned, role_of
from audit.folding.findings import Cause, Findings
from audit.model.finding import Hit
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site
from audit.reading.gateway_names import gateway_names
from audit.reading.identifiers import spelling

SIGNS = {
    "silent-node": "have been silent for longer than allowed",
    "not-joined": "are in no gateway's list",
    "joined-wrong-gateway": "are in another gateway's list",
}
"""Rules whose findings point to the gateway where nearly all nodes have them → words for the nodes."""
SHARE = 0.8
"""Share of a network's nodes read or listed: from this on it is not chance. Judgement."""


def silent_together(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put what nearly all nodes of a network have in common under one finding about their gateway.

    Nodes whose own settings explain it count neither for nor against a common cause of the others.
    """
    groups, explained = _of_networks(findings)
    read = _nodes_seen(findings.site) if groups else Counter[str]()
    for (network, sign), group in groups.items():
        others = explained[network, sign]
        if len(group) >= max(at_least, SHARE * (read[network] - others)):
            own = "a cause of its own" if others == 1 else "causes of their own"
            more = f", and {others} more with {own}" if others else ""
            message = f"{len(group)} of {read[network]} nodes {SIGNS[sign]}{more}"
            yield _at_gateway(findings, network, message, group)


def under_unplanned_gateway(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find networks with nearly all nodes in the list of one gateway that is not in the plan."""
    site = findings.site
    groups, explained = _of_networks(findings)
    names = gateway_names(site.plan.networks)
    read = _nodes_seen(site) if groups else Counter[str]()
    for (network, sign), group in groups.items():
        called = {hit.found for hit in findings.hits(group)} if sign == "joined-wrong-gateway" else set()
        name = called.pop() if len(called) == 1 else ""
        enough = max(at_least, SHARE * (read[network] - explained[network, sign]))
        if name and spelling(name) not in names and len(group) >= enough:
            message = (
                f"{len(group)} of {read[network]} nodes are in the list of {name}, which is not planned as a "
                f"gateway: it is {_tag_of(site, network)} under another name, or another gateway"
            )
            yield _at_gateway(findings, network, message, group)


def _of_networks(findings: Findings) -> tuple[dict[tuple[str, str], list[int]], Counter[tuple[str, str]]]:
    """Return network and rule of a sign → its findings without a cause, and → how many are explained."""
    site, items, causes = findings.site, findings.items, findings.causes
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    explained: Counter[tuple[str, str]] = Counter()
    by_own_radio = {causes[i] for i, item in enumerate(items) if i in causes and _is_own_radio(site, item)}
    for i, item in enumerate(items):
        if item.rule.id in SIGNS and item.hit.node:
            if i in causes or i in by_own_radio:
                explained[item.hit.network, item.rule.id] += 1
            else:
                groups[item.hit.network, item.rule.id].append(i)
    return groups, explained


def _at_gateway(findings: Findings, network: str, message: str, group: Sequence[int]) -> Cause:
    """Return the cause that is a finding about the gateway of a network, with those of its nodes under it."""
    hits, site = findings.hits(group), findings.site
    tags = tuple(hit.node for hit in hits)
    root = Hit(network, _tag_of(site, network), (), message, places=hits[0].places[:1], others=tags,
               order=site.gateways[network])  # fmt: skip
    return Cause(root, group)


def _tag_of(site: Site, network: str) -> str:
    b, g = site.gateways[network]
    return site.blocks[b].tags[g]


def _is_own_radio(site: Site, item: Found) -> bool:
    """Tell whether a finding says of a node that its own radio is not as planned."""
    own = item.rule.check.kind in ("equals-plan", "equals-gateway") and item.hit.side == "found"
    return own and role_of(site, item) in NETWORK_ROLES and not as_planned(site, item)


def _nodes_seen(site: Site) -> Counter[str]:
    """Return network → how many of its nodes have a row in the readback, or in a gateway's list."""
    return Counter(network for block in site.blocks if not block.gateway for network in block.networks_seen())
