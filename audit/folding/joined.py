"""Causes that were found device by device and are the same: they are reported once for all devices."""

from __future__ import annotations

from collections.abc import Iterator

from audit.folding.findings import Cause, Findings
from audit.grouping import grouped

FEWEST = 3
"""Fewest devices with the same cause that are joined. Judgement."""


def join_alike(findings: Findings) -> Iterator[Cause]:
    """Put causes found at single devices of a network by one pattern, in the same words, under one."""
    groups = grouped(
        ((item.rule.id, item.hit.network, item.hit.settings, item.hit.message), i)
        for i, item in findings.free() if item.folds() and item.hit.node
    )  # fmt: skip
    for (_, _, settings, message), group in groups.items():
        if len(group) >= FEWEST:
            yield findings.common_cause(group, f"on {len(group):,} devices: {message}", settings)
