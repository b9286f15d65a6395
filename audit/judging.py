"""Judging: findings, gate and coverage become a result with its verdict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from audit import __version__
from audit.checking import Checked, Found
from audit.comparing import Difference
from audit.folding.causes import Causes
from audit.model.base import Level, level_rank
from audit.model.finding import Hit
from audit.model.result import (
    Counts,
    EvidencePlace,
    Finding,
    InputFile,
    Naming,
    NetworkCounts,
    NotChecked,
    Result,
    RuleUsed,
    SiteName,
    Tool,
    Waived,
    WaiverUsed,
)
from audit.model.result import Gate as GateUsed
from audit.model.roles import concerns_alarms
from audit.model.rule import FRAMEWORKS, Gate, Rule
from audit.model.site import Block, Site
from audit.model.table import HIDDEN, Place
from audit.model.value import Value
from audit.reading.rules import Rulebook, level_of
from audit.reading.waivers import ReadWaiver
from audit.waiving import Used, Waiving

FIRST_OF_A_DEVICE = ("identity", "fold")
"""Kinds of checks that are told of a device before others."""

UNNAMED = Naming([], None, None, None)

CAUTION = (
    "This result compares settings. It does not say that a site is fit for use: local codes, permits "
    "and licensed people prevail."
)
CAUTION_OUTPUTS = (
    "Outputs (valves, pumps, gates) may move when a node is re-set or loses communication: lock out, "
    "keep people clear, and work under a permit."
)
CAUTION_HAZARDOUS = (
    "Hazardous areas: permit to work, certified parts and batteries, competent persons (IEC 60079-14, -17)."
)
CAUTION_ALARMS = (
    "Before changing an alarm, a range or a loss action: tell the control room. Bypasses need authority "
    "and an end time."
)


def judge(
    site: Site,
    checked: Checked,
    folded: tuple[Waiving, Causes],
    named: Mapping[int, Naming],
    differences: Mapping[tuple[int, str], Difference],
    book: Rulebook,
    gate: Gate,
    fail_on: Level | None,
    run_on: str,
    inputs: Sequence[InputFile],
) -> Result:
    """Return the result. The run fails if any finding is at or above the gate's level."""
    fail_on = fail_on or gate.fail_on
    waiving, causes = folded
    findings = to_findings(site, waiving, causes, named, book, gate)
    failed = any(level_rank(f.level) <= level_rank(fail_on) for f in findings if f.waived is None)
    networks = _networks(site, differences, findings)
    return Result(
        schema_="asfound/result/1",
        verdict="fail" if failed else "pass",
        counts=_counts(networks, findings),
        site=SiteName(name=site.plan.site.name, plan_revision=site.plan.site.revision or None),
        gate=GateUsed(id=gate.id, title=gate.title, fail_on=fail_on),
        run_on=run_on,
        tool=Tool(name="asfound", version=__version__),
        networks=networks,
        findings=findings,
        not_checked=[NotChecked(rule=rule.id, reason=reason) for rule, reason in checked.idle],
        inputs=list(inputs),
        packs=list(book.packs),
        cautions=_cautions(site, gate),
        rules=[_rule(rule, level_of(rule, book, gate)) for rule in book.rules],
        waivers=[_waiver(used) for used in waiving.states],
        since=None,
        devices=None,
    )


def _rule(rule: Rule, level: Level) -> RuleUsed:
    return RuleUsed(
        id=rule.id, title=rule.title, level=level, why=rule.why, remedy=rule.remedy, source=rule.source
    )


def _waiver(used: Used) -> WaiverUsed:
    one, waiver = used.one, used.one.waiver
    return WaiverUsed(
        id=waiver.id,
        rule=waiver.rule,
        node=waiver.node,
        setting=waiver.setting,
        value=one.value or None,
        reason=waiver.reason,
        compensating_measure=waiver.compensating_measure or None,
        owner=waiver.owner,
        approver=waiver.approver,
        issued=waiver.issued.isoformat(),
        expires=waiver.expires.isoformat(),
        state=used.state,
    )


def to_findings(
    site: Site, waiving: Waiving, causes: Causes, named: Mapping[int, Naming], book: Rulebook, gate: Gate
) -> list[Finding]:
    """Return the findings, worst first, then in the plan's order, each with its cause or dependents."""
    found, waived = waiving.items, waiving.waived
    causes = _live(causes, waived)
    levels = levels_of(waiving, causes, book, gate)
    order = _in_order(site, found, causes, levels, book)
    ids = _ids(found, order)
    dependents: dict[int, list[str]] = {}
    for i in order:
        if i in causes:
            dependents.setdefault(causes[i], []).append(ids[i])
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
        )
        for i in order
    ]


def finding_ids(site: Site, waiving: Waiving, causes: Causes, book: Rulebook, gate: Gate) -> dict[int, str]:
    """Return position of a finding → the id that it has in results, worst first."""
    causes = _live(causes, waiving.waived)
    order = _in_order(site, waiving.items, causes, levels_of(waiving, causes, book, gate), book)
    return _ids(waiving.items, order)


def _live(causes: Causes, waived: Mapping[int, ReadWaiver]) -> Causes:
    """Return the causes without those that are waived: what a waiver does not name is told for itself."""
    return {i: cause for i, cause in causes.items() if i in waived or cause not in waived}


def levels_of(waiving: Waiving, causes: Causes, book: Rulebook, gate: Gate) -> dict[int, Level]:
    """Return position of a finding → how bad it is; one that stands for others is as bad as the worst."""
    found, waived = waiving.items, waiving.waived
    levels: dict[int, Level] = {i: level_of(item.rule, book, gate) for i, item in enumerate(found)}
    worst: dict[int, Level] = {}
    for i, cause in causes.items():
        if i in waived and cause not in waived:
            continue
        worst[cause] = min(levels[i], worst.get(cause, levels[i]), key=level_rank)
    for cause, level in worst.items():
        if found[cause].rule.check.kind == "fold":
            levels[cause] = level
    return levels


def _in_order(
    site: Site, found: Sequence[Found], causes: Causes, levels: Mapping[int, Level], book: Rulebook
) -> list[int]:
    """Return the positions of the findings: worst first, causes before symptoms, then as planned.

    Of a device, first who it is, then what names a cause of several things, then single things.
    """
    rules = {rule.id: n for n, rule in enumerate(book.rules)}
    networks = {network.name: n for n, network in enumerate(site.plan.networks)}

    def key(i: int) -> tuple[object, ...]:
        hit, kind = found[i].hit, found[i].rule.check.kind
        where = (networks.get(hit.network, len(networks)), hit.order, hit.node)
        return (
            level_rank(levels[i]),
            i in causes,
            where,
            FIRST_OF_A_DEVICE.index(kind) if kind in FIRST_OF_A_DEVICE else len(FIRST_OF_A_DEVICE),
            rules[found[i].rule.id],
            hit.settings,
            hit.side,
            hit.message,
        )

    return sorted(range(len(found)), key=key)


def _ids(found: Sequence[Found], order: Sequence[int]) -> dict[int, str]:
    """Return an id for each finding, which does not depend on rows.

    Findings of one rule that name the same device and settings are numbered, the worst first.
    """
    seen: Counter[str] = Counter()
    ids = {}
    for i in order:
        hit = found[i].hit
        side = "" if hit.side == "found" else "planned"
        name = "/".join(
            part for part in (found[i].rule.id, hit.network, hit.node, "+".join(hit.settings), side) if part
        )
        seen[name] += 1
        ids[i] = name if seen[name] == 1 else f"{name}/{seen[name]}"
    return ids


def _at(site: Site, hit: Hit) -> tuple[Block | None, int]:
    """Return block and index of the device that a hit is about; no block where it is none of the plan's."""
    b, i = hit.order
    return (site.blocks[b] if b < len(site.blocks) else None), i


def _device(site: Site, hit: Hit) -> tuple[Block | None, int]:
    """Return block and index of the device of a network and tag, for what stands behind all others."""
    return next(
        (
            (block, i)
            for block in site.blocks
            for i, named in enumerate(zip(block.networks, block.tags, strict=True))
            if named == (hit.network, hit.node)
        ),
        (None, 0),
    )


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
) -> Finding:
    hit, rule = item.hit, item.rule
    of_waiver = rule.check.kind == "waiver"  # which stands where its first place says, the reading behind it
    block, i = _device(site, hit) if of_waiver else _at(site, hit)
    shown = hit.places[1:] if of_waiver else hit.places
    raw = shown[0].raw if shown and hit.side == "found" else ""
    return Finding(
        id=name,
        rule=rule.id,
        level=level,
        network=hit.network or None,
        node=hit.node or None,
        serial=(block.serials[i] or None) if block and hit.node else None,
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
    """Return a place as results hold it; nothing of an access code."""
    return EvidencePlace(
        file=place.file,
        sheet=place.sheet or None,
        row=place.row or None,
        column=place.column or None,
        heading=place.heading or None,
        raw=None if place.raw == HIDDEN else place.raw,
    )


def _networks(
    site: Site, differences: Mapping[tuple[int, str], Difference], findings: Sequence[Finding]
) -> list[NetworkCounts]:
    planned, differing, unread = (Counter[str]() for _ in range(3))
    devices, read = Counter[str](), Counter[str]()
    for block in site.blocks:
        devices.update(block.networks)
        read.update(n for n, rows in zip(block.networks, block.rows, strict=True) if rows)
    missing = [[i for i, rows in enumerate(block.rows) if not rows] for block in site.blocks]
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


def _counts(networks: Sequence[NetworkCounts], findings: Sequence[Finding]) -> Counts:
    levels = Counter("waived" if finding.waived else finding.level for finding in findings)

    def total(name: str) -> int:
        return sum(getattr(network, name) for network in networks)

    return Counts(
        networks=len(networks),
        devices=total("devices"),
        devices_read=total("devices_read"),
        verified=total("verified"),
        differing=total("differing"),
        not_read=total("not_read"),
        errors=levels["error"],
        warnings=levels["warning"],
        notes=levels["note"],
        waived=levels["waived"],
        root_causes=sum(finding.caused_by is None and finding.waived is None for finding in findings),
    )


def _cautions(site: Site, gate: Gate) -> list[str]:
    cautions = [CAUTION]
    types = [block.type for block in site.blocks]
    if any(concerns_alarms(s.role) for kind in types for s in kind.settings):
        cautions.append(CAUTION_ALARMS)
    if any(kind.moves_outputs for kind in types):
        cautions.append(CAUTION_OUTPUTS)
    if any(kind.hazardous_area for kind in types):
        cautions.append(CAUTION_HAZARDOUS)
    return [*cautions, *gate.cautions]
