"""A sample beside a baseline: the nodes that nobody was to visit, and nobody has."""

from __future__ import annotations

from dataclasses import replace

from audit.drifting.aligning import Aligned
from audit.drifting.records import FIELDS
from audit.model.drift import Drifting, RecordOutcome
from audit.model.sample import Sample
from audit.model.site import Site
from audit.sampling.by_chance import Unit, unit_of
from audit.sampling.visited import visited


def as_sampled(drift: Drifting, site: Site, aligned: Aligned, sample: Sample) -> Drifting:
    """Return drift that says of these nodes only that they were not sampled.

    That one is still to come, or that nothing bears out its change record, only a visit could show.
    """
    known, new = not_sampled(site, aligned, sample), _new_not_sampled(drift, aligned, sample)
    return replace(
        drift,
        devices=[
            one
            for one in drift.devices
            if (one.what, one.case) != ("came", "pending") or Unit(one.network, one.tag) not in new
        ],
        records=[_as_not_read(one) if _is_about(one, site, known, new) else one for one in drift.records],
        not_sampled=known,
        new_not_sampled=new,
    )


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


def _new_not_sampled(drift: Drifting, aligned: Aligned, sample: Sample) -> list[Unit]:
    """Return the nodes that are new in the plan, outside the sample and in no readback."""
    asked = {unit_of(place) for place in sample.places}
    to_come = {
        Unit(one.network, one.tag) for one in drift.devices if (one.what, one.case) == ("came", "pending")
    }
    blocks = [(aligned.plan[p], k) for p, k in aligned.new if not aligned.plan[p].gateway]
    return sorted({Unit(block.networks[k], block.tags[k]) for block, k in blocks} & to_come - asked)


def _is_about(outcome: RecordOutcome, site: Site, known: list[Unit], new: list[Unit]) -> bool:
    """Tell whether nothing bears out a record about one of these nodes as a whole."""
    read, (b, i) = outcome.record, outcome.order
    if outcome.state != "not borne out" or not read.node:
        return False
    if read.change.what == "added":
        return any(unit.node == read.node and read.network in ("", unit.network) for unit in new)
    if read.change.what not in FIELDS or b >= len(site.blocks):
        return False
    block = site.blocks[b]
    return Unit(block.networks[i], block.tags[i]) in known


def _as_not_read(outcome: RecordOutcome) -> RecordOutcome:
    read = outcome.record
    message = f"{read.words()}, could not be checked: {read.node} was not read"
    return replace(outcome, state="not read", message=message)
