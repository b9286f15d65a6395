"""The punch list: what has to be done, one row per finding. CSV and XLSX write the same rows."""

from __future__ import annotations

from collections.abc import Sequence

from audit.grouping import grouped
from audit.model.base import Level, level_rank
from audit.model.result import Finding, Result
from audit.phrases import clean, listed
from audit.reporting.words import words_of

HEADS = (
    "priority", "network", "location", "tag", "serial", "finding", "planned", "found", "remedy", "cautions",
    "done by", "verified by", "as left",
)  # fmt: skip
PRIORITIES: dict[Level, str] = {"error": "A", "warning": "B", "note": "C"}
"""Level → priority, in the words of the trade."""
WAIVED = "waived"
MOST_TAGS = 20
"""Tags listed in one cell."""


def heads(result: Result) -> list[str]:
    """Return the headings; the column of the values compared with is named after what they are."""
    return [words_of(result).side if head == "planned" else head for head in HEADS]


def rows(result: Result) -> list[tuple[str, ...]]:
    """Return the rows, cleaned: worst first, each cause followed by its dependents, waived ones last.

    The first is in row 2 of a spreadsheet, under the headings. Dependents name the row of their cause.
    """
    findings = _in_order(result.findings)
    row_of = {finding.id: number for number, finding in enumerate(findings, 2)}
    general = result.cautions[0] if result.cautions else ""
    made = [_row(finding, row_of.get(finding.caused_by or ""), general) for finding in findings]
    return [tuple(map(clean, row)) for row in made]


def _in_order(findings: Sequence[Finding]) -> list[Finding]:
    causes_first = sorted(findings, key=lambda finding: finding.caused_by is not None)
    groups = grouped((finding.caused_by or finding.id, finding) for finding in causes_first)
    return [finding for group in sorted(groups.values(), key=_urgency) for finding in group]


def _urgency(group: Sequence[Finding]) -> int:
    """Return the rank of the worst finding that is still to be corrected; last if all are waived."""
    to_do = [level_rank(finding.level) for finding in group if not finding.waived]
    return min(to_do, default=len(PRIORITIES))


def _row(finding: Finding, cause_row: int | None, general: str) -> tuple[str, ...]:
    """Return the cells of a finding, under HEADS; the last three are filled in by hand.

    The `general` caution stands where there is none of the finding's own: long cells that are all alike are
    not read.
    """
    waived = finding.waived
    message = f"follows from row {cause_row}: {finding.message}" if cause_row else finding.message
    remedy = f"see row {cause_row} first. {finding.remedy}" if cause_row else finding.remedy
    if waived:
        remedy = f"Waived by {waived.waiver} until {waived.expires}: {waived.grounds}"
    return (
        WAIVED if waived else PRIORITIES[finding.level],
        finding.network or "",
        finding.location or "",
        finding.node or listed(finding.others, MOST_TAGS),
        finding.serial or "",
        "; ".join((f"{message} ({finding.rule})", *finding.hints)),
        finding.planned or "",
        finding.found or "",
        remedy,
        " ".join(finding.cautions) or general,
        "",
        "",
        "",
    )
