"""Orphaned nodes go under their gateway where it is off the plan, or alone differs from its nodes."""

from __future__ import annotations

from collections.abc import Iterator

from audit.checking import Found
from audit.checks.equals_gateway import Its, alike, gateway_value
from audit.folding.about import as_planned, found_and_planned, role_of
from audit.folding.findings import Cause, Findings, Under
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site
from audit.reading.gateway_names import gateway_names
from audit.reading.identifiers import spelling


def under_gateway(findings: Findings, at_least: int) -> Iterator[Under]:
    """Put nodes that are as planned, and orphaned by a gateway off plan, under that gateway.

    Nodes that followed their gateway off the plan go under it as well. So does a node as planned that is in
    the list of another gateway, if it has that gateway's radio settings as far as both were read.
    """
    site, items = findings.site, findings.items
    off_plan = {
        (item.hit.network, role): i
        for i, item in enumerate(items)
        if item.rule.check.kind == "equals-plan" and (role := role_of(site, item)) in NETWORK_ROLES
        and site.blocks[item.hit.order[0]].gateway
    }  # fmt: skip
    if not off_plan:
        return
    for i, item in enumerate(items):
        cause = off_plan.get((item.hit.network, role_of(site, item)))
        if cause is not None and cause != i and _follows(site, item, items[cause]):
            yield Under(i, cause)
    gateways = {network: i for (network, _), i in off_plan.items()}
    names = gateway_names(site.plan.networks)
    for i, item in enumerate(items):
        if (
            item.rule.id == "joined-wrong-gateway"
            and _radio_as_planned(site, item)
            and item.hit.network in gateways
            and _may_hear(site, item, names.get(spelling(item.hit.found), ""))
        ):
            yield Under(i, gateways[item.hit.network])


def _follows(site: Site, item: Found, gateway: Found) -> bool:
    """Tell whether a node is orphaned as planned, or has what its gateway has instead of the plan."""
    kind = item.rule.check.kind
    if item.hit.side == "planned" or kind not in ("equals-gateway", "equals-plan"):
        return False
    if kind == "equals-gateway":
        return as_planned(site, item)
    return found_and_planned(site, item)[0] == found_and_planned(site, gateway)[0]


def _may_hear(site: Site, item: Found, network: str) -> bool:
    """Tell whether a node has, as far as both were read, the radio settings of another network's gateway."""
    if network not in site.gateways:
        return True
    (b, i), (c, g) = item.hit.order, site.gateways[network]
    node, gateway = site.blocks[b], site.blocks[c]
    pairs = [(node.value("found", one.name, i), gateway.value("found", other.name, g))
             for role in NETWORK_ROLES
             for one in node.first_settings(role) for other in gateway.first_settings(role)]  # fmt: skip
    return all(one.content == other.content for one, other in pairs if one.read and other.read)


def _radio_as_planned(site: Site, item: Found) -> bool:
    """Tell whether a node's channel, rate, identity and encryption, as far as read, are as planned for it."""
    b, i = item.hit.order
    block = site.blocks[b]
    radio = [(block.value("found", s.name, i), block.value("planned", s.name, i))
             for s in block.first_settings(*NETWORK_ROLES)]  # fmt: skip
    read = [(found, planned) for found, planned in radio if found.read]
    return bool(read) and all(found.content == planned.content for found, planned in read)


def against_nodes(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find gateways that differ from several nodes as planned, in a setting not planned for the gateway.

    Not if as many nodes or more have what the gateway has: then nobody knows which of them was set wrongly.
    """
    site = findings.site
    groups = grouped(
        ((item.hit.network, role_of(site, item)), i) for i, item in findings.free()
        if item.rule.check.kind == "equals-gateway" and item.hit.side == "found" and as_planned(site, item)
    )  # fmt: skip
    for (network, role), group in groups.items():
        its = gateway_value(site, network, role, "found")
        if (
            len(group) >= at_least
            and its
            and not _is_planned(site, network, its)
            and len(group) > _with_gateway(site, network, its)
        ):
            yield Cause(_against(site, network, its, findings.hits(group)), group)


def _is_planned(site: Site, network: str, its: Its) -> bool:
    b, i = site.gateways[network]
    return site.blocks[b].value("planned", its.setting.name, i).read


def _with_gateway(site: Site, network: str, its: Its) -> int:
    """Return how many nodes show what their gateway has."""
    return sum(
        of == network and value.read and alike(value, setting, its.value, its.setting)
        for block in site.blocks if not block.gateway
        for setting in block.first_settings(its.setting.role)
        for of, value in zip(block.networks, block.values("found", setting.name), strict=True)
    )  # fmt: skip


def _against(site: Site, network: str, its: Its, nodes: list[Hit]) -> Hit:
    """Return the hit about a gateway that differs from nodes that are as planned."""
    name, found = its.setting.name, its.value.shown
    message = f"{name} is {found}; {len(nodes):,} nodes are as planned, with {nodes[0].found}"
    places = (its.place, *nodes[0].places[:1])
    others = tuple(node.node for node in nodes)
    gateway = site.gateways[network]
    return Hit(network, site.planned_tag(gateway), (name,), message, found=found, places=places,
               others=others, order=gateway)  # fmt: skip
