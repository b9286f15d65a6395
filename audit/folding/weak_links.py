"""Links of one network that are planned with too little margin: they end at the same gateway."""

from __future__ import annotations

from collections.abc import Iterator

from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.asked_of_figures import FigureLimits
from audit.model.finding import Hit


def weak_links(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put the planned links of a network that lack margin under one finding about the network.

    Findings on what was read stay by themselves: an antenna or a connector is one node's.
    """
    site = findings.site
    groups = grouped(
        (item.hit.network, i) for i, item in findings.free()
        if isinstance(check := item.rule.check, FigureLimits)
        and check.figure in ("link-margin", "availability") and item.hit.side == "planned"
    )  # fmt: skip
    for network, group in groups.items():
        hits = findings.hits(group)
        tags = tuple(dict.fromkeys(hit.node for hit in hits))
        if len(tags) < at_least:
            continue
        nodes = sum(block.networks.count(network) for block in site.blocks if not block.gateway)
        message = f"{len(tags):,} of {nodes:,} nodes have a weak link in the plan"
        b, k = site.gateways[network]
        root = Hit(network, "", (), message, places=(site.blocks[b].planned_place(k, "tag"),), others=tags,
                   side="planned", order=hits[0].order)  # fmt: skip
        yield Cause(root, group)
