"""Many nodes that differ from the plan in the same way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from audit.folding.about import found_and_planned, role_of
from audit.folding.findings import Cause, Findings


def same_difference(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find many nodes of a network that show the same wrong value of a setting."""
    groups: dict[tuple[str, str, str, tuple[object, object]], list[int]] = defaultdict(list)
    for i, item in findings.comparisons():
        found, planned = found_and_planned(findings.site, item)
        each_its_own = role_of(findings.site, item) == "address"
        both = (found, None if each_its_own else planned)
        groups[item.rule.id, item.hit.network, item.hit.settings[0], both].append(i)
    for (_, _, name, _), group in groups.items():
        if len(group) >= at_least:
            shown = findings.items[group[0]].hit.found
            plans = {hit.planned for hit in findings.hits(group)}
            planned = plans.pop() if len(plans) == 1 else ""
            message = f"{name} is {shown} on {len(group):,} nodes, planned {planned or 'with other values'}"
            yield findings.common_cause(group, message, (name,))
