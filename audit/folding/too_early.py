"""Many devices that were read too early: before they were installed, or before they were last set."""

from __future__ import annotations

from collections.abc import Iterator

from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.asked_of_evidence import Evidence

WORDS = {"before-installation": "installed", "before-set": "last set"}
"""What a rule looks for → what was done after the reading."""


def read_too_early(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find networks with many devices that were read too early: one sheet, or one wrong date."""
    groups = grouped(
        ((check.what, item.hit.network), i) for i, item in findings.free()
        if isinstance(check := item.rule.check, Evidence) and check.what in WORDS
    )  # fmt: skip
    for (what, _), group in groups.items():
        if len(group) >= at_least:
            message = f"{len(group):,} devices were read before they were {WORDS[what]}"
            yield findings.common_cause(group, message)
