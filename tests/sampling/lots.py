"""A site to draw from, and samples drawn from it."""

from __future__ import annotations

from audit.model.sample import ConfidenceTerms, Sample
from audit.sampling.by_chance import Unit

NODES = {"north": 40, "south": 25, "west": 12, "tanks": 3}
TERMS = ConfidenceTerms(method="confidence", confidence="95", defective="5")


def site_of(nodes: dict[str, int]) -> list[Unit]:
    """Return a site of networks with so many nodes each, N-001 and on."""
    return [
        Unit(name, f"{name[0].upper()}-{index:03}")
        for name, size in nodes.items()
        for index in range(1, size + 1)
    ]


SITE = site_of(NODES)
ALWAYS = {
    Unit("north", "N-001"): ("safety",),
    Unit("tanks", "T-002"): ("billing", "changed since the baseline"),
}


def drawn(sample: Sample) -> list[Unit]:
    """Return the nodes that were drawn by chance."""
    return [Unit(place.network, place.node) for lot in sample.lots for place in lot.drawn]
