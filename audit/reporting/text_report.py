"""The result as text, for a person at a terminal: verdict first, causes before symptoms."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.result import EvidencePlace, Finding, Result, own_rule
from audit.model.sample_verdict import SampleUsed
from audit.phrases import as_argument, counted, row_or_line, titled, typed
from audit.reading.rules import packs_with
from audit.reporting import sample_shown, text_sections
from audit.reporting.causes_by_kind import causes_by_kind
from audit.reporting.lines import Lines, table
from audit.reporting.words import (
    FAILS_ON,
    compared_with,
    gate_named,
    levels_counted,
    nothing_read,
    others_to_name,
    relied_on,
    softened,
    where,
    words_of,
)

MOST_CAUSES = 100
"""Causes shown in full; the reader is referred to `--all` and the other formats for the rest."""
MOST_DEPENDENTS = 12
"""Dependents listed under a cause, likewise."""


def render(result: Result, width: int = 80, colour: bool = False, everything: bool = False) -> str:
    """Return the report as text of the given width."""
    lines = Lines(width, colour)
    _verdict(lines, result)
    if result.sample:
        _sample(lines, result.sample)
    causes = result.causes
    shown = causes if everything else causes[:MOST_CAUSES]
    causes_by_kind(lines, result, causes)
    _causes(lines, result, shown, None if everything else MOST_DEPENDENTS)
    if len(shown) < len(causes):
        lines.add(
            f"… and {len(causes) - len(shown):,} more. `--all` prints them; `--out result.json` lists them."
        )
    text_sections.waived(lines, result)
    text_sections.absent(lines, result)
    text_sections.changes(lines, result)
    text_sections.networks(lines, result, shown)
    if result.evidence:
        text_sections.evidence(lines, result, result.evidence)
    text_sections.not_checked(lines, result, everything)
    text_sections.inputs(lines, result)
    lines.cautions(result.cautions)
    _closing(lines, result)
    return lines.text()


def _verdict(lines: Lines, result: Result) -> None:
    counts, passed = result.counts, result.verdict == "pass"
    site = titled(result.site.name, result.site.plan_revision)
    lines.add(f"{result.verdict.upper()}  {site}", "good" if passed else "bad")
    gate = result.gate
    lines.add(f"{gate_named(result)}: fails on {FAILS_ON[gate.fail_on]}; run on {result.run_on}")
    if result.gate.lowered:
        lines.add(softened(gate), "warning", hang=2)
    if result.drift:
        lines.add(compared_with(result))
    lines.add()
    waived = f"; {counts.waived:,} waived" if counts.waived else ""
    lines.add(f"{levels_counted(counts)}, from {counted(counts.root_causes, 'cause')}{waived}", indent=2)
    words = words_of(result)
    if not counts.devices_read:
        devices = counted(counts.devices, words.devices)
        lines.add(f"{nothing_read(result)}: {devices}, none read back", indent=2)
        return
    lines.add(f"{counts.devices_read:,} of {counted(counts.devices, words.devices)} read back", indent=2)
    differ = "differs" if counts.differing == 1 else "differ"
    settings = (
        f"{words.settings}: {counts.verified:,} read {words.alike}, {counts.differing:,} {differ}, "
        f"{counts.not_read:,} not read"
    )
    lines.add(settings, indent=2)
    for said in relied_on(result):
        lines.add(said, indent=2, hang=2)


def _sample(lines: Lines, used: SampleUsed) -> None:
    """Say what a sample showed, and how many nodes of each network were not sampled."""
    lines.head(f"SAMPLE: {sample_shown.decision(used)}")
    for sentence in [*sample_shown.statements(used), sample_shown.basis(used)]:
        lines.add(sentence, indent=2, hang=2)
    lines.add()
    lines.block(table(sample_shown.lot_rows(used), sample_shown.LOT_HEADS, lines.width - 2), 2)
    lines.add()
    lines.block(table(sample_shown.network_rows(used), sample_shown.NETWORK_HEADS, lines.width - 2), 2)


def _causes(lines: Lines, result: Result, causes: Sequence[Finding], most: int | None) -> None:
    if not causes:
        return
    lines.head("CAUSES, worst first")
    by_id = {finding.id: finding for finding in result.findings}
    explained: dict[tuple[str, str], int] = {}
    for number, finding in enumerate(causes, 1):
        lines.add()
        mark = f" ({finding.since})" if finding.since else ""
        headline = f"{number}. {finding.level}{mark}: {where(finding)}{finding.message}"
        lines.add(headline, finding.level, hang=3)
        for place in finding.evidence:
            add_place(lines, place, indent=3, hang=3)
        for hint in finding.hints:
            lines.add(hint, indent=3, hang=3)
        others = others_to_name(finding)
        if others:
            lines.add(f"devices: {', '.join(others)}", indent=3, hang=9)
        _dependents(lines, finding, [by_id[name] for name in finding.dependents], most)
        first = explained.setdefault((finding.rule, finding.remedy), number)
        if first < number:
            lines.add(f"why and remedy: see cause {first} ({finding.rule})", indent=3)
            continue
        lines.add(f"why: {finding.why}", indent=3, hang=5)
        lines.add(f"remedy: {finding.remedy}", indent=3, hang=8)
        lines.add(f"rule: {finding.rule}", indent=3)
        if finding.requirements:
            lines.add(f"requirements: {'; '.join(finding.requirements)}", indent=3, hang=14)


def _dependents(lines: Lines, cause: Finding, dependents: Sequence[Finding], most: int | None) -> None:
    """List the findings that follow from a cause; those of several devices in the same words share a line."""
    if not dependents:
        return
    lines.add(f"{counted(len(dependents), 'follow-on finding')}:", indent=3)
    alike: dict[tuple[str, str], list[str]] = {}
    for finding in dependents:
        who = finding.node or finding.network or "the files"
        rank = f"waived ({finding.waived.waiver})" if finding.waived else finding.level
        alike.setdefault((rank, finding.message), []).append(who)
    for (rank, message), whose in list(alike.items())[:most]:
        said = "the same" if cause.message.endswith(message) else message
        lines.add(f"- {rank}, {', '.join(whose)}: {said}", indent=5, hang=2)
    left = sum(map(len, list(alike.values())[most:])) if most else 0
    if left:
        lines.add(f"- … and {left:,} more", indent=5)


def add_place(lines: Lines, place: EvidencePlace, indent: int, hang: int) -> None:
    """Add a place; its path stays in one piece."""
    lines.add(f"in {where_it_stands(place)}", indent=indent, hang=hang, whole=place.file)


def where_it_stands(place: EvidencePlace) -> str:
    """Return a place as a person would look it up, with its raw text."""
    text = f"{place.file} [{place.sheet}]" if place.sheet else place.file
    if place.record:
        about = ", ".join(filter(None, (f"record {place.record}", place.column)))
        text += f" line {place.row} ({about})"
    elif place.row:
        text += f" {row_or_line(place.file)} {place.row}"
    if place.column and not place.record:
        text += f" column {place.column}"
    if not place.record and place.heading and place.heading != place.column:
        text += f" ({place.heading})"
    return f"{text}: {place.raw!r}" if place.raw else text


def _closing(lines: Lines, result: Result) -> None:
    lines.add()
    style = "good" if result.verdict == "pass" else "bad"
    lines.add(f"{result.verdict.upper()}: {levels_counted(result.counts)}", style)
    if result.next_command:
        lines.add(f"next: {result.next_command}", whole=result.next_command)
    for first in result.causes[:1]:
        rule = own_rule(first, result.rule_of)
        files = [] if packs_with(rule) else [file.file for file in result.inputs if file.kind == "site rules"]
        named = (word for file in files for word in ("--rules", as_argument(file)))
        its_rule = typed("asfound", "rules", rule, *named)
        lines.add(f"{'  or' if result.next_command else 'next'}: {its_rule}", whole=its_rule)
