"""Limits that most of what is planned does not keep to: they may be what is wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from audit.checking import Found
from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.asked_of_values import WithinLimits
from audit.model.site import Site


def one_limit(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put planned values outside a limit under one finding if most of those that it is for are outside.

    An address block is for the nodes of a network, what a device or sensor can do for the devices of a type;
    those for which nothing is planned keep to no limit and break none.
    """
    site = findings.site
    groups = grouped(
        ((item.rule.id, item.hit.settings, limit), i)
        for i, item in findings.free()
        if item.hit.side == "planned" and (limit := _limit(site, item))
    )
    for (_, settings, limit), group in groups.items():
        of_all = _is_for(site, *limit, settings[0])
        if len(group) >= at_least and 2 * len(group) > of_all:
            first = findings.items[group[0]]
            message = (
                f"{len(group):,} of {of_all:,} planned values are outside one limit: {first.hit.message}"
            )
            cause = findings.common_cause(group, message, settings)
            yield replace(cause, hit=replace(cause.hit, places=first.hit.places[:1]))


def _limit(site: Site, item: Found) -> tuple[str, str] | None:
    """Return what a limit is, and the network or type that has it; None if neither has it."""
    check, (b, i) = item.rule.check, item.hit.order
    if not isinstance(check, WithinLimits):
        return None
    block = site.blocks[b]
    if check.limits == "address-block":
        return check.limits, block.networks[i]
    return (check.limits, block.type.name) if check.limits in ("device", "sensor") else None


def _is_for(site: Site, limits: str, name: str, setting: str) -> int:
    """Return for how many planned values a limit is: the addresses of a network, or a setting of a type."""
    if limits == "address-block":
        return sum(
            network == name and block.value("planned", own.name, i).read
            for block in site.blocks if not block.gateway
            for own in block.first_settings("address") for i, network in enumerate(block.networks)
        )  # fmt: skip
    types = (block for block in site.blocks if block.type.name == name)
    return sum(value.read for block in types for value in block.values("planned", setting))
