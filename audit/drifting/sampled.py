"""A sample beside a baseline: the nodes that nobody was to visit, and nobody has."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

from audit.drifting.aligning import Aligned
from audit.drifting.records import FIELDS
from audit.model.drift import DeviceDrift, Drifting, RecordOutcome
from audit.model.sample import Sample
from audit.model.site import Site
from audit.sampling.by_chance import Unit
from audit.sampling.visited import asked_for, not_sampled


def as_sampled(drift: Drifting, site: Site, aligned: Aligned, sample: Sample) -> Drifting:
    """Return drift that says of these nodes only that they were not sampled.

    That one is still to come, or that nothing bears out its change record, only a visit could show.
    """
    asked = asked_for(sample)
    known = not_sampled(site, _asked_then(site, aligned, asked))
    new = _new_not_sampled(drift, aligned, asked)
    return replace(
        drift,
        devices=[one for one in drift.devices if not (_is_to_come(one) and _unit(one) in new)],
        records=[_as_not_read(one) if _is_about(one, site, known, new) else one for one in drift.records],
        not_sampled=known,
        new_not_sampled=new,
    )


def _asked_then(site: Site, aligned: Aligned, asked: Set[Unit]) -> set[Unit]:
    """Return the nodes of which something was to be read, by their names in the baseline.

    A sample names nodes as the plan does now. One that the plan no longer has is among them: a sample says
    nothing of it.
    """
    found: set[Unit] = set()
    for b, block in enumerate(site.blocks):
        for i, (network, tag) in enumerate(zip(block.networks, block.tags, strict=True)):
            now = Unit(aligned.name("networks", b, i), aligned.name("tags", b, i))
            if (b, i) not in aligned.of or now in asked:
                found.add(Unit(network, tag))
    return found


def _is_to_come(drift: DeviceDrift) -> bool:
    return (drift.what, drift.case) == ("came", "pending")


def _unit(drift: DeviceDrift) -> Unit:
    return Unit(drift.network, drift.tag)


def _new_not_sampled(drift: Drifting, aligned: Aligned, asked: Set[Unit]) -> set[Unit]:
    """Return the nodes that are new in the plan, outside the sample and in no readback."""
    to_come = {_unit(one) for one in drift.devices if _is_to_come(one)}
    blocks = [(aligned.plan[p], k) for p, k in aligned.new if not aligned.plan[p].gateway]
    return {Unit(block.networks[k], block.tags[k]) for block, k in blocks} & to_come - asked


def _is_about(outcome: RecordOutcome, site: Site, known: Set[Unit], new: Set[Unit]) -> bool:
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
