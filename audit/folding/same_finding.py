"""The same finding, in the same words, at many devices of a network."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from audit.checking import NOT_OF_THE_SITE
from audit.folding.findings import Cause, Findings
from audit.grouping import grouped


def same_finding(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put what a rule reports in the same words for many devices under one cause, with its why and remedy."""
    groups = grouped(
        ((item.rule.id, hit.network, hit.settings, hit.side, hit.message, hit.planned, hit.found), i)
        for i, item in findings.free()
        if (hit := item.hit).node and item.rule.check.kind not in NOT_OF_THE_SITE
    )
    for group in groups.values():
        if len(group) >= at_least:
            first = findings.items[group[0]]
            message = f"on {len(group):,} devices: {first.hit.message}"
            yield replace(findings.common_cause(group, message, first.hit.settings), repeats=first.rule)
