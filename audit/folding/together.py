"""Nodes of a network that are all silent, or all in no gateway's list: the gateway is looked at first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import NamedTuple

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


class _Group(NamedTuple):
    """The findings of one rule of SIGNS on nodes of a network."""

    network: str
    sign: str
    positions: list[int]
    """Those without a cause."""
    explained: int
    """How many others have one: they count neither for nor against a common cause of the rest."""
    nodes: int
    """How many nodes of the network were read or listed."""

    def is_nearly_all(self, at_least: int) -> bool:
        """Tell whether so many nodes have it that it is not chance."""
        return len(self.positions) >= max(at_least, SHARE * (self.nodes - self.explained))


def silent_together(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put what nearly all nodes of a network have in common under one finding about their gateway."""
    for group in _groups(findings):
        if group.is_nearly_all(at_least):
            own = "a cause of its own" if group.explained == 1 else "causes of their own"
            more = f", and {group.explained} more with {own}" if group.explained else ""
            message = f"{len(group.positions):,} of {group.nodes:,} nodes {SIGNS[group.sign]}{more}"
            yield _at_gateway(findings, group, message)


def under_unplanned_gateway(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find networks with nearly all nodes in the list of one gateway that is not in the plan."""
    site = findings.site
    names = gateway_names(site.plan.networks)
    for group in _groups(findings):
        if group.sign != "joined-wrong-gateway" or not group.is_nearly_all(at_least):
            continue
        called = {hit.found for hit in findings.hits(group.positions)}
        name = called.pop() if len(called) == 1 else ""
        if name and spelling(name) not in names:
            gateway = site.planned_tag(site.gateways[group.network])
            message = (
                f"{len(group.positions):,} of {group.nodes:,} nodes are in the list of {name}, which is not "
                f"planned as a gateway: it is {gateway} under another name, or another gateway"
            )
            yield _at_gateway(findings, group, message)


def _groups(findings: Findings) -> list[_Group]:
    """Return the findings of each rule of SIGNS, network by network."""
    site, items, causes = findings.site, findings.items, findings.causes
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    explained: Counter[tuple[str, str]] = Counter()
    by_own_radio = {causes[i] for i, item in enumerate(items) if i in causes and _is_own_radio(site, item)}
    for i, item in enumerate(items):
        if item.rule.id in SIGNS:
            if i in causes or i in by_own_radio:
                explained[item.hit.network, item.rule.id] += 1
            else:
                groups[item.hit.network, item.rule.id].append(i)
    seen = _nodes_seen(site) if groups else Counter[str]()
    return [
        _Group(network, sign, positions, explained[network, sign], seen[network])
        for (network, sign), positions in groups.items()
    ]


def _at_gateway(findings: Findings, group: _Group, message: str) -> Cause:
    """Return the cause that is a finding about the gateway of a network, with those of its nodes under it."""
    hits, site = findings.hits(group.positions), findings.site
    gateway = site.gateways[group.network]
    tags = tuple(hit.node for hit in hits)
    root = Hit(group.network, site.planned_tag(gateway), (), message, places=hits[0].places[:1], others=tags,
               order=gateway)  # fmt: skip
    return Cause(root, group.positions)


def _is_own_radio(site: Site, item: Found) -> bool:
    """Tell whether a finding says of a node that its own radio is not as planned."""
    own = item.rule.check.kind in ("equals-plan", "equals-gateway") and item.hit.side == "found"
    return own and role_of(site, item) in NETWORK_ROLES and not as_planned(site, item)


def _nodes_seen(site: Site) -> Counter[str]:
    """Return network → how many of its nodes have a row in the readback, or in a gateway's list."""
    return Counter(network for block in site.blocks if not block.gateway for network in block.networks_seen())
