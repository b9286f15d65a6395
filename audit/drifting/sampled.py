"""A sample beside a baseline: the nodes of the baseline that nobody was to visit, and nobody has."""

from __future__ import annotations

from audit.drifting.aligning import Aligned
from audit.model.sample import Sample
from audit.model.site import Site
from audit.sampling.by_chance import Unit, unit_of
from audit.sampling.visited import visited


def not_sampled(site: Site, aligned: Aligned, sample: Sample) -> list[Unit]:
    """Return these nodes by their names in the baseline; the sample names nodes as the plan does now.

    One that the plan no longer has is not among them: a sample says nothing of it.
    """
    asked, read = {unit_of(place) for place in sample.places}, visited(site)
    found: list[Unit] = []
    for b, i in aligned.of:
        block = site.blocks[b]
        unit = Unit(block.networks[i], block.tags[i])
        now = Unit(aligned.name("networks", b, i), aligned.name("tags", b, i))
        if not block.gateway and now not in asked and unit not in read:
            found.append(unit)
    return sorted(found)
