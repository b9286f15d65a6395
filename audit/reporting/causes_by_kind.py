"""Many causes at a glance: how many there are of each kind, and where, before they are listed one by one."""

from __future__ import annotations

from collections.abc import Sequence

from audit.grouping import grouped
from audit.model.base import level_rank
from audit.model.result import Finding, Result, own_rule
from audit.phrases import counted
from audit.reporting.lines import Lines, table

FEW = 20
"""Up to so many causes are looked through as quickly as a table of their kinds."""


def causes_by_kind(lines: Lines, result: Result, causes: Sequence[Finding]) -> None:
    """Add a table of the rules that the causes breach, worst and most frequent first, if there are many."""
    if len(causes) <= FEW:
        return
    by_id = {finding.id: finding for finding in result.findings}
    rule_of = result.rule_of
    kinds = grouped(((cause.level, own_rule(cause, rule_of)), cause) for cause in causes)
    rows = []
    for (level, rule), alike in kinds.items():
        under = [by_id[name] for cause in alike for name in cause.dependents]
        follow = sum(finding.waived is None for finding in under)
        networks = {cause.network for cause in alike if cause.network}
        where = counted(len(networks), "network") if len(networks) > 1 else "".join(networks)
        rows.append((level, rule, len(alike), follow, where))
    rows.sort(key=lambda row: (level_rank(row[0]), -row[2] - row[3], row[1]))
    lines.head("CAUSES BY KIND")
    lines.block(table(rows, ["level", "rule", "causes", "follow-on", "where"], lines.width - 2), 2)
