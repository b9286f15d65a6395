"""Orphaned nodes stand under the gateway that has left the plan."""

from __future__ import annotations

from audit.checking import Found
from audit.folding.causes import Causes, found_and_planned, link, role_of
from audit.model.roles import NETWORK_ROLES
from audit.model.rule import Rule
from audit.model.site import Site


def under_gateway(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put nodes that are as planned, and orphaned by a gateway off plan, under that gateway.

    Nodes that have followed their gateway off the plan go under it as well.
    """
    gateways = {
        (item.hit.network, role_of(site, item)): i
        for i, item in enumerate(items)
        if item.rule.check.kind == "equals-plan" and item.hit.order[0] < len(site.blocks)
        and site.blocks[item.hit.order[0]].gateway
    }  # fmt: skip
    for i, item in enumerate(items):
        role = role_of(site, item)
        cause = gateways.get((item.hit.network, role)) if role in NETWORK_ROLES else None
        if cause is None or cause == i or item.hit.side == "planned":
            continue
        b, k = item.hit.order
        name = item.hit.settings[0]
        block = site.blocks[b]
        as_planned = block.value("planned", name, k).content == block.value("found", name, k).content
        its_found, _ = found_and_planned(site, items[cause], items[cause].hit.settings[0])
        follows = item.rule.check.kind == "equals-plan" and block.value("found", name, k).content == its_found
        if (item.rule.check.kind == "equals-gateway" and as_planned) or follows:
            link(causes, i, cause)
