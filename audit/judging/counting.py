"""Counting: how much of each network was read, and how much of that is as planned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal

from audit.comparing import Difference
from audit.model.counts import Counts, NearMisses, NetworkCounts
from audit.model.result import Finding
from audit.model.site import Block, Site
from audit.model.value import Value


def of_networks(
    site: Site, differences: Mapping[tuple[int, str], Difference], findings: Sequence[Finding]
) -> list[NetworkCounts]:
    """Return the counts of each network: devices, settings, findings."""
    planned, differing, unread = (Counter[str]() for _ in range(3))
    devices, read = Counter[str](), Counter[str]()
    for block in site.blocks:
        devices.update(block.networks)
        read.update(block.networks_read())
    missing = [block.unread() for block in site.blocks]
    everyone = [Counter(block.networks) for block in site.blocks]
    for (b, name), difference in differences.items():
        block, values = site.blocks[b], site.blocks[b].planned[name]
        planned.update(everyone[b] if all(v.read for v in values.among) else _planned_networks(block, values))
        differing.update(block.networks[i] for i in difference.differing)
        unread.update(block.networks[i] for i in difference.unread)
        unread.update(block.networks[i] for i in missing[b] if values[i].read)
    levels = Counter((f.network, "waived" if f.waived else f.level) for f in findings)
    return [
        NetworkCounts(
            network=n.name, gateway=n.gateway.tag, devices=devices[n.name], devices_read=read[n.name],
            verified=planned[n.name] - differing[n.name] - unread[n.name] if site.readback else 0,
            differing=differing[n.name],
            not_read=unread[n.name] if site.readback else planned[n.name],
            errors=levels[n.name, "error"], warnings=levels[n.name, "warning"], notes=levels[n.name, "note"],
            waived=levels[n.name, "waived"],
        )
        for n in site.plan.networks
    ]  # fmt: skip


def _planned_networks(block: Block, values: Sequence[Value]) -> Counter[str]:
    return Counter(network for network, value in zip(block.networks, values, strict=True) if value.read)


def in_all(networks: Sequence[NetworkCounts], findings: Sequence[Finding]) -> Counts:
    """Return the counts of the whole run."""
    levels = Counter("waived" if finding.waived else finding.level for finding in findings)
    added_up = ("devices", "devices_read", "verified", "differing", "not_read")
    return Counts(
        networks=len(networks),
        **{name: sum(getattr(network, name) for network in networks) for name in added_up},
        errors=levels["error"],
        warnings=levels["warning"],
        notes=levels["note"],
        waived=levels["waived"],
        root_causes=sum(finding.caused_by is None and finding.waived is None for finding in findings),
    )


def near_misses(site: Site, differences: Mapping[tuple[int, str], Difference]) -> NearMisses | None:
    """Return the readings that count as planned though their number is another; None if there is none.

    A display rounds, and so do conversions: a number less than a step away is the same. How far away it is
    counts as a part of the larger of the two.
    """
    found = []
    for (b, name), difference in differences.items():
        block = site.blocks[b]
        for i in difference.rounded:
            planned, now = block.value("planned", name, i), block.value("found", name, i)
            one, other = planned.number or Decimal(0), now.number or Decimal(0)
            words = f"{block.tags[i]} {name} {now.shown} for {planned.shown}"
            found.append((abs(one - other) / max(abs(one), abs(other)), words))
    return NearMisses(readings=len(found), farthest=max(found)[1]) if found else None
