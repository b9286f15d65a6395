"""Values that all devices of a network show, where one place of the plan gives another value."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from audit.folding.about import at_factory_default, found_and_planned, role_of
from audit.folding.findings import Cause, Findings
from audit.model.finding import Hit
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block, Site
from audit.model.table import Place
from audit.model.value import Value

Group = tuple[str, str, object, Place]
"""Network, setting, content found, and the place of the plan that gives another value."""


def against_plan(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find values written once in the plan for several devices, all of which show the same other value.

    Left out: values at the factory default, which were hardly decided; values that also break another rule,
    which are wrong whatever the plan says; and radio settings, which belong to the gateway.
    """
    site, items = findings.site, findings.items
    wrong = {
        (item.hit.order, name) for item in items
        if item.hit.side == "found" and item.rule.check.kind not in ("equals-plan", "fold")
        for name in item.hit.settings
    }  # fmt: skip
    groups: dict[Group, list[int]] = defaultdict(list)
    for i, item in findings.comparisons():
        if item.rule.check.kind == "equals-plan" and role_of(site, item) not in NETWORK_ROLES:
            (b, k), name = item.hit.order, item.hit.settings[0]
            found, _ = found_and_planned(site, item)
            if not at_factory_default(site, item):
                groups[item.hit.network, name, found, site.blocks[b].planned_place(k, name)].append(i)
    for (network, name, _, place), group in groups.items():
        if any((items[i].hit.order, name) in wrong for i in group):
            continue
        if len(group) < at_least or len(group) < _read(site, network, name, place):
            continue
        if _borne_out(site, items[group[0]].hit, network, name, place):
            continue
        first = items[group[0]].hit
        message = (
            f"{name} is {first.found} on all {len(group):,} devices that take it from one place of the plan, "
            f"which says {first.planned}: the plan may be wrong"
        )
        tags = tuple(items[i].hit.node for i in group)
        hit = Hit(network, "", (name,), message, first.planned, first.found, (place, *first.places[:1]), tags,
                  order=first.order)  # fmt: skip
        yield Cause(hit, group)


def _readings(site: Site, name: str) -> Iterator[tuple[Block, int, Value]]:
    """Yield the devices on which a setting was read, each with its value."""
    for block in site.blocks:
        for i, value in enumerate(block.column("found", name) or ()):
            if value.read:
                yield block, i, value


def _read(site: Site, network: str, name: str, place: Place) -> int:
    """Return on how many devices of a network that take a setting from one place of the plan it was read."""
    return sum(
        block.networks[i] == network and block.planned_place(i, name) == place
        for block, i, _ in _readings(site, name)
    )


def _borne_out(site: Site, hit: Hit, network: str, name: str, place: Place) -> bool:
    """Tell whether a node of the network, or one planned by this place, shows the planned value."""
    b, k = hit.order
    planned = site.blocks[b].value("planned", name, k).content
    return any(
        value.content == planned and (block.networks[i] == network or block.planned_place(i, name) == place)
        for block, i, value in _readings(site, name)
        if not block.gateway
    )
