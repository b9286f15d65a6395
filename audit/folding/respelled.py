"""Files that write tags or serial numbers in another way all through: `510011.0`, small letters, 4.02E+11."""

from __future__ import annotations

from collections.abc import Iterator

from audit.folding.findings import Cause, Findings
from audit.grouping import grouped

WAYS = ("respelled", "serial-damaged", "became-date")
"""What comes from the way in which a program or a person writes all identities."""


def respelled(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find files with several rows that have the same finding about their tag or serial number."""
    groups = grouped(((item.rule.id, item.hit.places[0].file), i) for i, item in findings.free()
                     if item.asks("identity", *WAYS))  # fmt: skip
    for (_, file), group in groups.items():
        if len(group) >= at_least:
            first = findings.items[group[0]].hit
            message = f"on {len(group):,} devices of {file}, for instance {first.node}: {first.message}"
            yield findings.common_cause(group, message)
