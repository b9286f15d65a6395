"""What comes after the causes in the text report: waivers, changes, networks, evidence, inputs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from audit.checking import IN_PART, LACKING
from audit.grouping import grouped
from audit.model.evidence import Evidence
from audit.model.result import Finding, Result
from audit.phrases import counted, listed
from audit.reporting import evidence_shown
from audit.reporting.lines import Lines, table
from audit.reporting.words import Words, held_against, where, words_of

MOST_OLDER = 12
"""Most change records from before the baseline that are named."""
MOST_SETTINGS = 3
"""Most settings that are named of one finding in the table of a network."""
MOST_IDLE = 8
"""Most rules named that had nothing to check for one reason; `--all` names the rest."""


def waived(lines: Lines, result: Result) -> None:
    """List what is waived, and every waiver with its state."""
    found = [(finding, finding.waived) for finding in result.findings if finding.waived]
    if found:
        lines.head("WAIVED, listed and not counted above")
    for finding, by in found:
        lines.add(f"- {finding.level}, {where(finding)}{finding.message} ({finding.rule})", indent=2, hang=2)
        lines.add(f"waiver {by.waiver}, approved by {by.approver}, until {by.expires}: {by.reason}",
                  indent=4, hang=2)  # fmt: skip
        for hint in finding.hints:
            lines.add(hint, indent=4, hang=2)
    if result.waivers:
        lines.head("WAIVERS")
        heads = ["waiver", "state", "rule", "node", "setting", "value", "expires"]
        rows = [
            [w.id, w.state, w.rule, w.node, w.setting or "", w.value or "", w.expires] for w in result.waivers
        ]
        lines.block(table(rows, heads, lines.width), 2)


def absent(lines: Lines, result: Result) -> None:
    """List the findings of the earlier result that are gone, and those that were not read again."""
    if result.since is None:
        return
    lines.head(f"SINCE {result.since.run_on}")
    unread = result.since.not_read_again
    new = sum(finding.since == "new" for finding in result.findings)
    counts = f"{counted(new, 'new finding')}, {counted(len(result.since.absent), 'finding')} gone"
    lines.add(counts + (f", {len(unread):,} not read again" if unread else ""), indent=2)
    for said in filter(None, (result.since.note, held_against(result))):
        lines.add(said, "unread", indent=2)
    for state, findings in (("gone", result.since.absent), ("not read again", unread)):
        for finding in findings:
            lines.add(f"- {state}: {where(finding)}{finding.message} ({finding.rule})", indent=2, hang=2)


def changes(lines: Lines, result: Result) -> None:
    """List every change record with its state; those from before the baseline by their ids alone."""
    if result.drift is None or not result.drift.changes:
        return
    lines.head("CHANGE RECORDS")
    older = [change.id for change in result.drift.changes if change.state == "before the baseline"]
    for change in result.drift.changes:
        if change.state != "before the baseline":
            what = f"{change.setting or change.what} on {change.node or change.network}"
            before = f", from {change.before}" if change.before else ""
            after = f" to {change.after}" if change.after else ""
            lines.add(f"- {change.id} of {change.date}, {what}{before}{after}: {change.state}",
                      indent=2, hang=2)  # fmt: skip
    if older:
        lines.add(f"- before the baseline: {listed(older, MOST_OLDER)}", indent=2, hang=2)


def networks(lines: Lines, result: Result, causes: Sequence[Finding]) -> None:
    """Give the counts of each network, then list the findings of each; `causes` are those shown above."""
    words = words_of(result)
    lines.head("NETWORK BY NETWORK")
    heads = {
        "network": "network", "gateway": "gateway", "devices": "devices", "devices_read": "read",
        "verified": words.alike, "differing": "differ", "not_read": "not read", "errors": "errors",
        "warnings": "warnings",
    }  # fmt: skip
    rows = [[getattr(network, field) for field in heads] for network in result.counted_networks
            if network.gateway or network.errors or network.warnings]  # fmt: skip
    lines.block(table(rows, [*heads.values()], lines.width), 2)
    numbers = {finding.id: str(number) for number, finding in enumerate(causes, 1)}
    found = result.findings_in
    for network in result.networks:
        its = found[network.network]
        shown = [f for f in its if f.id in numbers or f.caused_by in numbers or f.waived]
        _findings(lines, f"{network.network}, gateway {network.gateway}", shown, numbers, words)
    _findings(lines, "Outside any network", found[None], numbers, words)


def _findings(
    lines: Lines, head: str, findings: Sequence[Finding], numbers: Mapping[str, str], words: Words
) -> None:
    """Add a table of findings under a heading, unless there are none."""
    if not findings:
        return
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
                listed(finding.settings, MOST_SETTINGS),
                planned or "",
                found or "",
            ]
        )
    heads = ["cause", "level", "node", "rule", "setting", words.side, "found"]
    lines.head(head)
    lines.block(table(rows, heads, lines.width), 2)


def evidence(lines: Lines, result: Result, its: Evidence) -> None:
    """Say what an auditor asks for in addition to the findings."""
    lines.head("EVIDENCE of what was read; it does not say that the site complies with anything")
    lines.add("Inventory", indent=2)
    rows = evidence_shown.inventory_rows(its)
    lines.block(table(rows, evidence_shown.INVENTORY_HEADS, lines.width - 4), 4)
    lines.add()
    for sentence in evidence_shown.codes(its):
        lines.add(f"Access: {sentence}", indent=2, hang=2)
    if its.controls:
        controls = evidence_shown.control_rows(its)
        lines.block(table(controls, evidence_shown.control_heads(result), lines.width - 4), 4)
    lines.add()
    for sentence in its.records:
        lines.add(sentence, indent=2, hang=2)
    lines.add(f"Changes: {its.changes}", indent=2, hang=2)
    lines.add(f"Exceptions: {its.exceptions}", indent=2, hang=2)
    if result.waivers:
        for row in evidence_shown.exception_rows(result):
            cells = zip(evidence_shown.EXCEPTION_HEADS[1:], row[1:], strict=True)
            lines.add(f"- {row[0]}: {'; '.join(f'{head} {cell}' for head, cell in cells)}", indent=4, hang=2)
    for sentence in evidence_shown.closed(result, its):
        lines.add(f"Closure: {sentence}", indent=2, hang=2)
    lines.add(evidence_shown.reproduction(result, its), indent=2, hang=2, whole=its.command)


def not_checked(lines: Lines, result: Result, everything: bool) -> None:
    """Say what was not sampled, and which rules had nothing to check; first those that lacked something.

    Auditors get the names of all of them.
    """
    unvisited = result.not_sampled
    if not result.not_checked and not unvisited:
        return
    lines.head("NOT CHECKED")
    for network, tags in unvisited:
        lines.add(f"not sampled in {network}: {listed(tags)}", indent=2, hang=2)
    # The JSON result says which roles are missing.
    reasons = grouped((idle.reason.split(":")[0], idle.rule) for idle in result.not_checked)
    in_part = {reason: rules for reason, rules in reasons.items() if reason.startswith(IN_PART)}
    lacking = {reason: rules for reason, rules in reasons.items() if reason.startswith(LACKING)}
    others = {reason: rules for reason, rules in reasons.items() if reason not in in_part | lacking}
    for reason, rules in in_part.items():
        lines.add(f"{reason}: {', '.join(rules)}", indent=2, hang=2)
    if lacking:
        words = [f"{reason.removeprefix(LACKING)} ({', '.join(rules)})" for reason, rules in lacking.items()]
        lines.add(f"{LACKING.strip()}: {'; '.join(words)}", indent=2, hang=2)
    in_full = everything or result.evidence
    for reason, rules in others.items():
        lines.add(f"{reason}: {listed(rules, len(rules) if in_full else MOST_IDLE)}", indent=2, hang=2)
    if not in_full and any(len(rules) > MOST_IDLE for rules in others.values()):
        lines.add("`--all` names all of these rules.", indent=2)


def inputs(lines: Lines, result: Result) -> None:
    """List what was read, with digests, and the rule packs it was judged by."""
    lines.inputs(result.inputs)
    packs = ", ".join(f"{pack.pack} {pack.version}" for pack in result.packs)
    lines.add(f"rule packs: {packs}", indent=2, hang=4)
    lines.add(f"{result.tool.name} {result.tool.version}", indent=2)
