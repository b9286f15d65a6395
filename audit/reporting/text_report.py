"""The result as text, for a person at a terminal: verdict first, causes before symptoms."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.evidence import Evidence
from audit.model.result import EvidencePlace, Finding, NetworkCounts, Result
from audit.model.sample_verdict import SampleUsed
from audit.reporting import evidence_shown, sample_shown
from audit.reporting.lines import Lines, counted, table
from audit.reporting.words import Words, compared_with, words_of

MOST_CAUSES = 100
"""Causes told in full; the rest is said to be in the other formats, unless all are asked for."""


MOST_TAGS = 60
"""Nodes outside of a sample that are named in a network; the JSON result has them all."""
MOST_DEPENDENTS = 12
"""Dependents told under a cause, likewise."""


def render(result: Result, width: int = 80, colour: bool = False, everything: bool = False) -> str:
    """Return the report as text of the given width."""
    lines = Lines(width, colour)
    _verdict(lines, result)
    if result.sample:
        _sample(lines, result.sample)
    causes = [finding for finding in result.findings if finding.caused_by is None and not finding.waived]
    shown = causes if everything else causes[:MOST_CAUSES]
    _causes(lines, result, shown, None if everything else MOST_DEPENDENTS)
    if len(shown) < len(causes):
        lines.add(
            f"… and {len(causes) - len(shown):,} more. `--all` prints them; `--out result.json` has them."
        )
    _waived(lines, result)
    _absent(lines, result)
    _changes(lines, result)
    _networks(lines, result, shown)
    if result.evidence:
        _evidence(lines, result, result.evidence)
    _not_checked(lines, result)
    _inputs(lines, result)
    lines.head("CAUTIONS")
    for caution in result.cautions:
        lines.add(caution, indent=2)
    _closing(lines, result)
    return lines.text()


def _verdict(lines: Lines, result: Result) -> None:
    counts, passed = result.counts, result.verdict == "pass"
    revision = f", plan revision {result.site.plan_revision}" if result.site.plan_revision else ""
    word = "PASS" if passed else "FAIL"
    lines.add(f"{word}  {result.site.name}{revision}", "good" if passed else "bad")
    gate = result.gate
    lines.add(f"{gate.title} ({gate.id}): fails on {_or_worse(gate.fail_on)}; run on {result.run_on}")
    if result.drift:
        lines.add(compared_with(result))
    lines.add()
    waived = f"; {counts.waived:,} waived" if counts.waived else ""
    lines.add(f"{_levels(result)}, from {counted(counts.root_causes, 'cause')}{waived}", indent=2)
    if not counts.devices_read:
        blank = any(file.kind == "readback" for file in result.inputs)
        what = "the readback is blank" if blank else "the plan alone was checked"
        lines.add(f"{what}: {counted(counts.devices, 'planned device')}, none read back", indent=2)
        return
    words = words_of(result)
    lines.add(f"{counts.devices_read:,} of {counted(counts.devices, words.devices)} read back", indent=2)
    settings = (
        f"{words.settings}: {counts.verified:,} read {words.alike}, {counts.differing:,} differ, "
        f"{counts.not_read:,} not read"
    )
    lines.add(settings, indent=2)


def _sample(lines: Lines, used: SampleUsed) -> None:
    """Say what a sample has shown, and which nodes nobody was to visit."""
    lines.head(f"SAMPLE: {sample_shown.decision(used)}")
    for sentence in [*sample_shown.statements(used), sample_shown.basis(used)]:
        lines.add(sentence, indent=2, hang=2)
    lines.add()
    lines.block(table(sample_shown.lot_rows(used), sample_shown.LOT_HEADS, lines.width - 2), 2)
    lines.add()
    rows = [sample_shown.network_row(network) for network in used.networks]
    lines.block(table(rows, sample_shown.NETWORK_HEADS, lines.width - 2), 2)


def _or_worse(level: str) -> str:
    return {
        "error": "errors",
        "warning": "warnings and errors",
        "note": "notes, warnings and errors",
    }[level]


def _levels(result: Result) -> str:
    counts = result.counts
    levels = ((counts.errors, "error"), (counts.warnings, "warning"), (counts.notes, "note"))
    return ", ".join(counted(number, level) for number, level in levels)


def _causes(lines: Lines, result: Result, causes: Sequence[Finding], most: int | None) -> None:
    if not causes:
        return
    lines.head("CAUSES, worst first")
    by_id = {finding.id: finding for finding in result.findings}
    told: dict[str, int] = {}
    for number, finding in enumerate(causes, 1):
        lines.add()
        where = " ".join(filter(None, (finding.network, finding.node)))
        mark = f" ({finding.since})" if finding.since else ""
        lines.add(
            f"{number}. {finding.level}{mark}: {where + ': ' if where else ''}{finding.message}",
            finding.level,
            hang=3,
        )
        for place in finding.evidence:
            lines.add(f"in {where_it_stands(place)}", indent=3, hang=3)
        for hint in finding.hints:
            lines.add(hint, indent=3, hang=3)
        _others(lines, finding)
        _dependents(lines, [by_id[name] for name in finding.dependents], most)
        if finding.rule in told:
            lines.add(f"why and remedy: as under {told[finding.rule]} ({finding.rule})", indent=3)
            continue
        told[finding.rule] = number
        lines.add(f"why: {finding.why}", indent=3, hang=5)
        lines.add(f"remedy: {finding.remedy}", indent=3, hang=8)
        lines.add(f"rule: {finding.rule}", indent=3)
        if finding.requirements:
            lines.add(f"requirements: {'; '.join(finding.requirements)}", indent=3, hang=14)


def _others(lines: Lines, finding: Finding) -> None:
    """Name the devices that a finding concerns, unless its message or its dependents do."""
    if (
        finding.others
        and not finding.dependents
        and not all(tag in finding.message for tag in finding.others)
    ):
        lines.add(f"devices: {', '.join(finding.others)}", indent=3, hang=9)


def _dependents(lines: Lines, dependents: Sequence[Finding], most: int | None) -> None:
    if not dependents:
        return
    lines.add(
        f"with it {'goes' if len(dependents) == 1 else 'go'} {counted(len(dependents), 'finding')}:",
        indent=3,
    )
    for finding in dependents[:most]:
        who = finding.node or finding.network
        lines.add(f"- {finding.level}, {who}: {finding.message}", indent=5, hang=2)
    if most and len(dependents) > most:
        lines.add(f"- … and {len(dependents) - most:,} more", indent=5)


def where_it_stands(place: EvidencePlace) -> str:
    """Return a place as a person would look it up, with the raw text that stands there."""
    text = f"{place.file} [{place.sheet}]" if place.sheet else place.file
    if place.row:
        text += f" row {place.row}"
    if place.column:
        text += f" column {place.column}"
    if place.heading and place.heading != place.column:
        text += f" ({place.heading})"
    return f"{text}: {place.raw!r}" if place.raw else text


def _waived(lines: Lines, result: Result) -> None:
    """List what is waived, and every waiver with what became of it."""
    waived = [finding for finding in result.findings if finding.waived]
    if waived:
        lines.head("WAIVED, listed and not counted above")
    for finding in waived:
        if finding.waived:
            where = " ".join(filter(None, (finding.network, finding.node)))
            lines.add(f"- {finding.level}, {where}: {finding.message} ({finding.rule})", indent=2, hang=2)
            by = f"waiver {finding.waived.waiver}, approved by {finding.waived.approver}"
            lines.add(f"{by}, until {finding.waived.expires}: {finding.waived.reason}", indent=4, hang=2)
            for hint in finding.hints:
                lines.add(hint, indent=4, hang=2)
    if result.waivers:
        lines.head("WAIVERS")
        heads = ["waiver", "state", "rule", "node", "setting", "value", "expires"]
        rows = [
            [w.id, w.state, w.rule, w.node, w.setting or "", w.value or "", w.expires] for w in result.waivers
        ]
        lines.block(table(rows, heads, lines.width), 2)


def _absent(lines: Lines, result: Result) -> None:
    """List the findings of the earlier result that are no more."""
    if result.since is None:
        return
    lines.head(f"SINCE {result.since.run_on}")
    new = sum(finding.since == "new" for finding in result.findings)
    lines.add(
        f"{counted(new, 'new finding')}, {counted(len(result.since.absent), 'finding')} no more", indent=2
    )
    for finding in result.since.absent:
        where = " ".join(filter(None, (finding.network, finding.node)))
        lines.add(f"- no more: {where}: {finding.message} ({finding.rule})", indent=2, hang=2)


def _changes(lines: Lines, result: Result) -> None:
    """List every change record with what became of it."""
    if result.drift is None or not result.drift.changes:
        return
    lines.head("CHANGE RECORDS")
    heads = ["change", "date", "what", "node", "setting", "from", "to", "state"]
    rows = [
        [
            c.id,
            c.date,
            c.what,
            c.node or c.network or "",
            c.setting or "",
            c.before or "",
            c.after or "",
            c.state,
        ]
        for c in result.drift.changes
    ]
    lines.block(table(rows, heads, lines.width), 2)


def _networks(lines: Lines, result: Result, causes: Sequence[Finding]) -> None:
    words = words_of(result)
    lines.head("NETWORK BY NETWORK")
    heads = [
        "network",
        "gateway",
        "devices",
        "read",
        words.alike,
        "differ",
        "not read",
        "errors",
        "warnings",
    ]
    fields = ("network", "gateway", "devices", "devices_read", "verified", "differing", "not_read", "errors",
              "warnings")  # fmt: skip
    rows = [[getattr(network, field) for field in fields] for network in result.networks]
    lines.block(table(rows, heads, lines.width), 2)
    numbers = {finding.id: str(number) for number, finding in enumerate(causes, 1)}
    of_network: dict[str | None, list[Finding]] = {network.network: [] for network in result.networks}
    loose: list[Finding] = []
    for finding in result.findings:
        of_network.get(finding.network, loose).append(finding)
    for network in result.networks:
        _network(lines, network, of_network[network.network], numbers, words)
    if loose:
        lines.head("Outside any network")
        lines.block(_findings_table(loose, numbers, lines.width, words), 2)


def _network(
    lines: Lines, network: NetworkCounts, findings: Sequence[Finding], numbers: dict[str, str], words: Words
) -> None:
    shown = [f for f in findings if f.id in numbers or f.caused_by in numbers or f.waived]
    if shown:
        lines.head(f"{network.network}, gateway {network.gateway}")
        lines.block(_findings_table(shown, numbers, lines.width, words), 2)


def _findings_table(findings: Sequence[Finding], numbers: dict[str, str], width: int, words: Words) -> str:
    rows = []
    for finding in findings:
        cause = numbers.get(finding.id) or f"under {numbers.get(finding.caused_by or '', '?')}"
        cause = "waived" if finding.waived else cause
        planned = finding.planned if len(finding.settings) == 1 else ""
        found = finding.found if len(finding.settings) == 1 else ""
        rows.append(
            [
                cause,
                finding.level,
                finding.node or "",
                finding.rule,
                finding.setting or "",
                planned or "",
                found or "",
            ]
        )
    return table(rows, ["cause", "level", "node", "rule", "setting", words.side, "found"], width)


def _evidence(lines: Lines, result: Result, evidence: Evidence) -> None:
    """Say what an auditor asks for besides the findings."""
    lines.head("EVIDENCE: what was read, not that a site complies with anything")
    lines.add("Inventory", indent=2)
    rows = [evidence_shown.inventory_row(line) for line in evidence.inventory]
    lines.block(table(rows, evidence_shown.INVENTORY_HEADS, lines.width - 4), 4)
    lines.add()
    for sentence in evidence_shown.codes(evidence):
        lines.add(f"Access: {sentence}", indent=2, hang=2)
    if evidence.controls:
        controls = evidence_shown.control_rows(evidence)
        lines.block(table(controls, evidence_shown.CONTROL_HEADS, lines.width - 4), 4)
    lines.add()
    lines.add(f"Changes: {evidence.changes}", indent=2, hang=2)
    lines.add(f"Exceptions: {evidence.exceptions}", indent=2, hang=2)
    if result.waivers:
        for row in evidence_shown.exception_rows(result):
            told = zip(evidence_shown.EXCEPTION_HEADS[1:], row[1:], strict=True)
            lines.add(f"- {row[0]}: {'; '.join(f'{head} {cell}' for head, cell in told)}", indent=4, hang=2)
    for sentence in evidence_shown.closed(evidence):
        lines.add(f"Closure: {sentence}", indent=2, hang=2)
    lines.add(evidence_shown.reproduction(result, evidence), indent=2, hang=2)


def _not_checked(lines: Lines, result: Result) -> None:
    unvisited = sample_shown.not_sampled(result.sample) if result.sample else []
    if not result.not_checked and not unvisited:
        return
    lines.head("NOT CHECKED")
    for network, tags in unvisited:
        more = f" and {len(tags) - MOST_TAGS:,} more" if len(tags) > MOST_TAGS else ""
        lines.add(f"not sampled in {network}: {', '.join(tags[:MOST_TAGS])}{more}", indent=2, hang=2)
    reasons: dict[str, list[str]] = {}
    for idle in result.not_checked:  # which roles are missing stands in the JSON result
        reasons.setdefault(idle.reason.split(":")[0], []).append(idle.rule)
    for reason, rules in reasons.items():
        lines.add(f"{reason}: {', '.join(rules)}", indent=2, hang=2)


def _inputs(lines: Lines, result: Result) -> None:
    lines.head("INPUTS, with SHA-256")
    for file in result.inputs:
        lines.add(f"{file.file} ({file.kind})" + (f": {file.note}" if file.note else ""), indent=2, hang=4)
        if file.sha256:
            lines.block(file.sha256, 4)
    packs = ", ".join(f"{pack.pack} {pack.version}" for pack in result.packs)
    lines.add(f"rule packs: {packs}", indent=2, hang=4)
    lines.add(f"{result.tool.name} {result.tool.version}", indent=2)


def _closing(lines: Lines, result: Result) -> None:
    lines.add()
    if result.verdict == "pass":
        lines.add(f"PASS: {_levels(result)}", "good")
    else:
        lines.add(f"FAIL: {_levels(result)}", "bad")
    first = next((f for f in result.findings if f.caused_by is None and not f.waived), None)
    if first:
        lines.add(f"next: asfound rules {first.rule}")
