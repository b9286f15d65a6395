"""Findings: what the rules found, in the form of the result, with device, evidence and cause."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from audit.audited import Audited
from audit.checking import Found
from audit.grouping import grouped
from audit.judging.cautions import at_finding
from audit.judging.ordering import ids_of, in_order, levels_of, live_causes
from audit.model.base import Level
from audit.model.finding import STRANGERS, Hit
from audit.model.result import EvidencePlace, Finding, Naming, Waived
from audit.model.rule import FRAMEWORKS, Rule
from audit.model.site import Block, Site
from audit.model.table import HIDDEN, Place
from audit.reading.waivers import ReadWaiver

UNNAMED = Naming([], None, None, None)


def to_findings(audited: Audited, named: Mapping[int, Naming]) -> list[Finding]:
    """Return the findings, worst first, then in the plan's order, each with its cause or dependents."""
    site, waiving, book, gate = audited.site, audited.waiving, audited.book, audited.gate
    found, waived = waiving.items, waiving.waived
    causes = live_causes(audited.causes, waiving)
    levels = levels_of(waiving, causes, book, gate)
    order = in_order(site, waiving, causes, levels, book)
    ids = ids_of(found, order)
    dependents = grouped((causes[i], ids[i]) for i in order if i in causes)
    read = {name for name, file in audited.inputs.files.items() if file.kind == "readback"}
    return [
        _finding(
            site,
            found[i],
            ids[i],
            levels[i],
            ids[causes[i]] if i in causes else None,
            dependents.get(i, []),
            waived.get(i),
            named.get(i, UNNAMED),
            _requirements(found[i].rule) if gate.evidence else [],
            read,
        )
        for i in order
    ]


def _at(site: Site, hit: Hit) -> tuple[Block | None, int]:
    """Return block and index of the device that a hit is about; no block if the plan does not have it."""
    b, i = hit.order
    return (site.blocks[b] if b < len(site.blocks) else None), i


def _device(site: Site, hit: Hit) -> tuple[Block | None, int]:
    """Return block and index of the device that a hit names by network and tag; no block if there is none.

    For findings on waivers, whose order holds no device since they come after all others.
    """
    return next(
        (
            (block, i)
            for block in site.blocks
            for i, named in enumerate(zip(block.networks, block.tags, strict=True))
            if named == (hit.network, hit.node)
        ),
        (None, 0),
    )


def _serial(site: Site, hit: Hit, block: Block | None, i: int) -> str | None:
    """Return the serial number of the device that a hit is about: planned, or read from a stranger."""
    if block:
        return (block.serials[i] or None) if hit.node else None
    b, s = hit.order
    return (site.strangers[s].serial or None) if b == STRANGERS and s < len(site.strangers) else None


def _finding(
    site: Site,
    item: Found,
    name: str,
    level: Level,
    cause: str | None,
    dependents: list[str],
    waiver: ReadWaiver | None,
    naming: Naming,
    requirements: list[str],
    read: Collection[str],
) -> Finding:
    """Return a finding in the form of the result; `read` has the names of the files that were read back."""
    hit, rule = item.hit, item.rule
    of_waiver = rule.check.kind == "waiver"  # its first place is in the waiver file, the reading comes next
    block, i = _device(site, hit) if of_waiver else _at(site, hit)
    shown = hit.places[1:] if of_waiver else hit.places
    raw = shown[0].raw if shown and hit.side == "found" and shown[0].file in read else ""
    return Finding(
        id=name,
        rule=rule.id,
        level=level,
        network=hit.network or None,
        node=hit.node or None,
        serial=_serial(site, hit, block, i),
        location=(block.locations[i] or None) if block and hit.node else None,
        setting=hit.settings[0] if hit.settings else None,
        settings=list(hit.settings),
        planned=hit.planned or None,
        found=hit.found or None,
        raw=raw if raw and raw != HIDDEN else None,
        evidence=[evidence_place(place) for place in dict.fromkeys(hit.places) if place.file],
        others=list(hit.others),
        message=hit.message,
        why=rule.why,
        remedy=item.remedy,
        source=rule.source,
        caused_by=cause,
        dependents=dependents,
        waived=_waived(waiver) if waiver else None,
        since=None,
        slips=naming.slips,
        slip=naming.words,
        doubtful_side=naming.doubtful_side,
        doubt=naming.doubt,
        requirements=requirements,
        cautions=at_finding(site, hit),
    )


def _requirements(rule: Rule) -> list[str]:
    return [
        f"{FRAMEWORKS[framework]}: {', '.join(numbers)}" for framework, numbers in rule.requirements.items()
    ]


def _waived(one: ReadWaiver) -> Waived:
    waiver = one.waiver
    return Waived(
        waiver=waiver.id,
        reason=waiver.reason,
        compensating_measure=waiver.compensating_measure or None,
        owner=waiver.owner,
        approver=waiver.approver,
        expires=waiver.expires.isoformat(),
    )


def evidence_place(place: Place) -> EvidencePlace:
    """Return a place as results hold it, without any part of an access code."""
    return EvidencePlace(
        file=place.file,
        sheet=place.sheet or None,
        row=place.row or None,
        column=place.column or None,
        heading=place.heading or None,
        raw=None if place.raw == HIDDEN else place.raw,
        record=place.record or None,
    )
