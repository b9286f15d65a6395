"""The result as Markdown, for merge requests and job pages: verdict first, short enough to be shown whole."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field

from audit.model.evidence import Evidence
from audit.model.result import Finding, Result
from audit.model.used import DriftUsed, InputFile
from audit.phrases import clean, counted, shortened, titled
from audit.reporting import evidence_shown, sample_shown
from audit.reporting.text_report import where_it_stands
from audit.reporting.words import (
    FAILS_ON,
    compared_with,
    gate_named,
    held_against,
    nothing_read,
    relied_on,
    softened,
    words_of,
)

MOST_BYTES = 60_000
"""Longer reports are cut by job pages (common practice, no source)."""
KEPT_BACK = 8_000
"""Bytes of these kept for the cautions and for saying what was left out."""
LONGEST_TEXT = 400
"""Characters shown of one name, value or message."""

COUNTS = {
    "errors": "errors", "warnings": "warnings", "notes": "notes", "waived": "waived", "root_causes": "causes",
    "devices": "devices", "devices_read": "read", "verified": "settings as planned", "differing": "differ",
    "not_read": "not read",
}  # fmt: skip
NETWORK = {
    "network": "network", "gateway": "gateway", "devices": "devices", "devices_read": "read",
    "verified": "as planned", "differing": "differ", "not_read": "not read", "errors": "errors",
    "warnings": "warnings", "notes": "notes", "waived": "waived",
}  # fmt: skip

SPECIAL = re.compile(r"([\\`*_\[\]<>#|~$&@]|:(?=//|[\w+-]+:)|(?<=www)\.|^[-+=])")
"""Characters with a meaning in Markdown, in its tables, or where names and links are recognised."""


def render(result: Result) -> str:
    """Return the summary: verdict, counts, causes; the rest folded; it says what was left out."""
    page = _Page(MOST_BYTES - KEPT_BACK)
    page.add(*_verdict(result))
    alike = words_of(result).alike
    page.table(
        "counts",
        [head.replace("as planned", alike) for head in COUNTS.values()],
        [[getattr(result.counts, name) for name in COUNTS]],
    )
    networks = [[getattr(network, name) for name in NETWORK] for network in result.counted_networks]
    page.table("networks", [head.replace("as planned", alike) for head in NETWORK.values()], networks)
    if sampled := _sampled(result):
        page.list("sample", sampled)
    causes = result.causes
    numbers = {finding.id: number for number, finding in enumerate(causes, 1)}
    page.list("causes", _causes(causes, {finding.id for finding in result.findings if finding.waived}))
    dependents = [finding for finding in result.findings if finding.caused_by and not finding.waived]
    page.fold("follow-on findings", [_dependent(finding, numbers) for finding in dependents])
    page.fold("waived findings", [_waived(finding) for finding in result.findings])
    if result.since:
        gone, unread = result.since.absent, result.since.not_read_again
        if result.since.note:
            page.add(escaped(f"Result of {result.since.run_on}: {result.since.note}."))
        if changed := held_against(result):
            page.add(escaped(f"Result of {result.since.run_on}. {changed}."))
        page.fold("findings of the earlier result that are gone", _listed(gone))
        page.fold("findings of the earlier result that were not read again", _listed(unread))
    if result.drift:
        page.fold("change records", _changes(result.drift))
    if result.evidence:
        page.fold("evidence", _evidence(result, result.evidence))
    page.fold("rules not checked, or only in part", _not_checked(result))
    page.fold("inputs and rule packs, with their digests", _inputs(result))
    page.room = KEPT_BACK // 2
    page.list("cautions", [f"- {escaped(caution)}" for caution in result.cautions])
    page.add(escaped(f"{result.tool.name} {result.tool.version}, run on {result.run_on}"))
    return page.text()


def _verdict(result: Result) -> tuple[str, ...]:
    site = escaped(titled(result.site.name, result.site.plan_revision))
    gate = f"{escaped(gate_named(result))}: fails on {FAILS_ON[result.gate.fail_on]}."
    what = nothing_read(result).capitalize()
    alone = () if result.counts.devices_read else (f"{what}: no device was read back.",)
    since = (f"Compared with the result of {escaped(result.since.run_on)}.",) if result.since else ()
    drift = (escaped(f"{compared_with(result)}."),) if result.drift else ()
    softer = (f"{escaped(softened(result.gate), MOST_BYTES)}.",) if result.gate.lowered else ()
    read = "; ".join(relied_on(result))
    told = (f"{escaped(read[0].upper() + read[1:], MOST_BYTES)}.",) if read else ()
    return f"# {result.verdict.upper()}: {site}", gate, *softer, *drift, *alone, *told, *since


def _sampled(result: Result) -> list[str]:
    said = []
    if used := result.sample:
        said = [sample_shown.decision(used), *sample_shown.statements(used), sample_shown.basis(used)]
    said += [
        f"Not sampled, and so not checked, in {network}: {counted(len(tags), 'node')}."
        for network, tags in result.not_sampled
    ]
    return [f"- {escaped(sentence)}" for sentence in said]


def _changes(drift: DriftUsed) -> list[str]:
    """Return every change record with its state."""
    return [
        f"- {escaped(change.id)} of {change.date}, approved by {escaped(change.approved_by)}: "
        f"{change.setting or change.what} on {escaped(change.node or change.network or '')}: {change.state}"
        for change in drift.changes
    ]


def _evidence(result: Result, evidence: Evidence) -> list[str]:
    said = [
        *_under_heads(evidence_shown.INVENTORY_HEADS, evidence_shown.inventory_rows(evidence)),
        *evidence_shown.codes(evidence),
        *_under_heads(evidence_shown.control_heads(result), evidence_shown.control_rows(evidence)),
        *evidence.records,
        evidence.changes,
        evidence.exceptions,
        *evidence_shown.closed(result, evidence),
    ]
    command = escaped(evidence_shown.reproduction(result, evidence), MOST_BYTES)  # never cut a command
    return [*(f"- {escaped(sentence)}" for sentence in said), f"- {command}"]


def _under_heads(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """Yield the rows of a table, each as a list of its cells after their headings."""
    return (", ".join(f"{head} {cell}" for head, cell in zip(heads, row, strict=True)) for row in rows)


def _causes(causes: Sequence[Finding], waived: Set[str]) -> list[str]:
    """Return the causes, numbered; a remedy that several share is given once."""
    explained: dict[tuple[str, str], int] = {}
    items = []
    for number, finding in enumerate(causes, 1):
        lines = [f"{number}. {_headline(finding)}"]
        lines += [f"in {escaped(where_it_stands(place))}" for place in finding.evidence[:1]]
        lines += map(escaped, finding.hints)
        if finding.dependents:
            excused = len(waived & set(finding.dependents))
            waived_too = f", {excused:,} of them waived" if excused else ""
            lines.append(f"follow-on findings: {len(finding.dependents):,}{waived_too}")
        elif finding.others:
            lines.append(f"devices: {escaped(', '.join(finding.others))}")
        first = explained.setdefault((finding.rule, finding.remedy), number)
        lines.append(f"remedy: {escaped(finding.remedy) if first == number else f'see cause {first}'}")
        items.append(f"\n{' ' * len(f'{number}. ')}- ".join(lines))
    return items


def _headline(finding: Finding) -> str:
    where = escaped(" ".join(filter(None, (finding.network, finding.node))))
    since = f", {finding.since}" if finding.since else ""
    message = f"{escaped(finding.message)} ({escaped(finding.rule)})"
    return f"**{finding.level}{since}** {where}{': ' if where else ''}{message}"


def _dependent(finding: Finding, numbers: Mapping[str, int]) -> str:
    number = numbers.get(finding.caused_by or "")
    return f"- {_headline(finding)}" + (f", under {number}" if number else "")


def _waived(finding: Finding) -> str:
    waived = finding.waived
    if waived is None:
        return ""
    measure = waived.compensating_measure
    said = [f"{waived.waiver} until {waived.expires}", waived.reason,
            f"Meanwhile: {measure}" if measure else "",
            f"Owner: {waived.owner}, approved by {waived.approver}"]  # fmt: skip
    return f"- {_headline(finding)}: " + " ".join(f"{escaped(text.rstrip('.'))}." for text in said if text)


def _listed(findings: Sequence[Finding]) -> list[str]:
    return [f"- {_headline(finding)}" for finding in findings]


def _not_checked(result: Result) -> list[str]:
    return [f"- {escaped(idle.rule)}: {escaped(idle.reason)}" for idle in result.not_checked]


def _inputs(result: Result) -> list[str]:
    files = [f"- {escaped(file.file)} ({escaped(file.kind)}): {_told(file)}" for file in result.inputs]
    packs = [f"- rule pack {escaped(p.pack)} {escaped(p.version)}: {p.sha256}" for p in result.packs]
    return [*files, *packs]


def _told(file: InputFile) -> str:
    """Return the digest of a file and what is noted of it."""
    return "; ".join(filter(None, (file.sha256, escaped(file.note or "")))) or "no digest"


def escaped(text: str, longest: int = LONGEST_TEXT) -> str:
    """Return a text that Markdown shows as it is, on one line: no markup, link, cell or HTML begins in it."""
    marked = SPECIAL.sub(r"\\\1", " ".join(clean(shortened(text, longest)).split()))
    return re.sub(r"^(\d+)([.)])", r"\1\\\2", marked)  # no numbered list


@dataclass
class _Page:
    """A page in the making; `room` is how many bytes may still be filled."""

    room: int
    blocks: list[str] = field(default_factory=list)

    def add(self, *blocks: str) -> None:
        """Add blocks, separated by blank lines."""
        self.blocks.extend(blocks)
        self.room -= sum(len(block.encode()) + 2 for block in blocks)

    def table(self, what: str, heads: Iterable[str], rows: Sequence[Sequence[object]]) -> None:
        """Add a table."""
        columns = list(heads)
        lines = [_row(columns), "|" + " --- |" * len(columns)]
        self.add("\n".join([*lines, *self._fitting(what, [_row(row) for row in rows])]))

    def list(self, what: str, items: Sequence[str]) -> None:
        """Add a heading with a list under it, unless it is empty."""
        if items:
            self.add(f"## {what.capitalize()}")
            self.add("\n".join(self._fitting(what, items)))

    def fold(self, what: str, items: Sequence[str]) -> None:
        """Add a list that opens on a click, unless it is empty."""
        items = [item for item in items if item]
        if items:
            self.add(f"<details><summary>{what.capitalize()}: {len(items):,}</summary>")
            self.add("\n".join(self._fitting(what, items)), "</details>")

    def _fitting(self, what: str, items: Sequence[str]) -> Sequence[str]:
        """Return the items that there is room for, then a line with the number of those left out."""
        room = self.room
        for count, item in enumerate(items):
            room -= len(item.encode()) + 1
            if room < 0:
                left = f"… {len(items) - count:,} more of the {what} left out; the JSON result lists them."
                return [*items[:count], "", left]
        return items

    def text(self) -> str:
        """Return the page."""
        return "\n\n".join(self.blocks) + "\n"


def _row(cells: Iterable[object]) -> str:
    return f"| {' | '.join(f'{cell:,}' if isinstance(cell, int) else escaped(str(cell)) for cell in cells)} |"
