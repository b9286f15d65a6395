"""Devices that are set for another network: with its channel, rate and identity instead of their own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from audit.checks.context import hit
from audit.folding.about import role_of
from audit.folding.findings import Cause, Findings, Under
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site, Target
from audit.model.value import BLANK, Content

Radio = dict[str, Content]
"""Role → what is planned for a gateway, or was found on it."""


def set_for_another(findings: Findings, at_least: int) -> Iterator[Cause | Under]:
    """Find devices with several radio settings off plan that are those planned for one other gateway.

    An address of that network goes under the same finding, and so does the record that names that network.
    """
    site = findings.site
    radios = {network: _radio(site, network, "planned") for network in site.gateways}
    differing: dict[Target, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    addresses: dict[Target, list[int]] = defaultdict(list)
    set_for: dict[tuple[str, str], tuple[str, int]] = {}
    for i, item in findings.comparisons() if len(radios) > 1 else ():
        if role_of(site, item) in NETWORK_ROLES:
            differing[item.hit.order][role_of(site, item)].append(i)
        elif role_of(site, item) == "address":
            addresses[item.hit.order].append(i)
    for (b, k), of_role in differing.items():
        block = site.blocks[b]
        settings = block.first_settings(*of_role)
        shown = {setting.role: block.value("found", setting.name, k).content for setting in settings}
        other = _other_network(site, radios, (b, k), shown) if len(of_role) >= at_least else ""
        if not other:
            continue
        values = ", ".join(f"{s.name} {block.value('found', s.name, k).shown}" for s in settings)
        message = f"{'the gateway' if block.gateway else 'it'} is set for {other}: {values}"
        mine = [i for those in of_role.values() for i in those]
        if block.gateway:
            message += _crossed(site, block.networks[k], other, list(shown))
        elif said := _address_there(site, (b, k), other):
            message += said
            mine += addresses[b, k]
            settings += block.first_settings("address")
        set_for[block.networks[k], block.tags[k]] = other, len(findings.items)
        yield Cause(hit(block, b, k, settings, message), mine)
    yield from _records_under(findings, set_for)


def _other_network(site: Site, radios: Mapping[str, Radio], device: Target, shown: Radio) -> str:
    """Return the one other network whose gateway is planned with what a device shows; empty where none is.

    Empty also for a node that followed its own gateway, which has a finding of its own.
    """
    block, own = site.blocks[device[0]], site.blocks[device[0]].networks[device[1]]
    if not block.gateway and shown.items() <= _radio(site, own, "found").items():
        return ""
    others = [name for name, radio in radios.items() if name != own and shown.items() <= radio.items()]
    return others[0] if len(others) == 1 else ""


def _crossed(site: Site, network: str, other: str, roles: Sequence[str]) -> str:
    """Return what to add where the other gateway was found with the radio settings of this one."""
    planned, found = _radio(site, network, "planned"), _radio(site, other, "found")
    if any(role not in planned or found.get(role) != planned[role] for role in roles):
        return ""
    return f"; {site.planned_tag(site.gateways[other])} is set for {network}: the two are swapped"


def _address_there(site: Site, device: Target, other: str) -> str:
    """Return what to add where a device's address is one of the other network; empty if it is not."""
    b, k = device
    setting = site.blocks[b].first_setting("address")
    found = site.blocks[b].value("found", setting.name, k) if setting else BLANK
    if not found.read:
        return ""
    for block in site.blocks:
        if own := block.first_setting("address"):
            for i, network in enumerate(block.networks):
                if network == other and block.value("planned", own.name, i).content == found.content:
                    holder = f"{found.shown} is planned for {block.tags[i]} there"
                    return f"; its address {holder}, and the two collide once it joins"
    reserved = next((network.addresses for network in site.plan.networks if network.name == other), None)
    if reserved and isinstance(found.content, int) and reserved.holds(found.content):
        return f"; its address {found.shown} is in that network's address block"
    return ""


def _records_under(findings: Findings, set_for: Mapping[tuple[str, str], tuple[str, int]]) -> Iterator[Under]:
    """Put a record that names another network under the devices, if all of them are set for that network."""
    for i, item in enumerate(findings.items if set_for else ()):
        record = item.hit
        if item.asks("evidence", "other-network"):
            devices = [set_for.get((record.network, tag), ("", 0)) for tag in record.others]
            if {network for network, _ in devices} == {record.found}:
                yield Under(i, devices[0][1])


def _radio(site: Site, network: str, side: str) -> Radio:
    b, g = site.gateways[network]
    block = site.blocks[b]
    return {
        setting.role: value.content
        for setting in block.first_settings(*NETWORK_ROLES)
        if (value := block.value(side, setting.name, g)).read
    }
