"""Devices that are set for another network: its channel, rate and identity in place of their own."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.causes import Causes, add_cause, comparisons, role_of
from audit.model.roles import NETWORK_ROLES
from audit.model.rule import Rule
from audit.model.site import Site
from audit.model.value import Content

Radio = dict[str, Content]
"""Role → what a gateway is planned with, or was found with."""


def set_for_another(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find devices of which several radio settings that differ are those planned for one other gateway."""
    radios = {network: _radio(site, network, "planned") for network in site.gateways}
    differing: dict[tuple[int, int], dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for i, item in comparisons(site, enumerate(items), causes) if len(radios) > 1 else ():
        if role_of(site, item) in NETWORK_ROLES:
            differing[item.hit.order][role_of(site, item)].append(i)
    for (b, k), of_role in differing.items():
        if len(of_role) < at_least:
            continue
        block = site.blocks[b]
        settings = [setting for role in of_role for setting in block.settings(role)[:1]]
        shown = {setting.role: block.value("found", setting.name, k).content for setting in settings}
        gateway = _radio(site, block.networks[k], "found")
        if not block.gateway and all(gateway.get(role) == content for role, content in shown.items()):
            continue  # it goes with its gateway, which is told
        others = [network for network, radio in radios.items() if network != block.networks[k]
                  and all(radio.get(role) == content for role, content in shown.items())]  # fmt: skip
        if len(others) != 1:
            continue
        values = ", ".join(f"{s.name} {block.value('found', s.name, k).shown}" for s in settings)
        message = f"it is set for {others[0]}: {values}"
        mine = [i for those in of_role.values() for i in those]
        add_cause(items, causes, rule, hit(block, b, k, settings, message), mine)


def _radio(site: Site, network: str, side: str) -> Radio:
    b, g = site.gateways[network]
    block = site.blocks[b]
    return {
        setting.role: value.content
        for role in NETWORK_ROLES
        for setting in block.settings(role)[:1]
        if (value := block.value(side, setting.name, g)).read
    }
