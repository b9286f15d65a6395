"""The same finding, in the same words, at many devices of a network."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import NOT_OF_THE_SITE, Found
from audit.folding.causes import Causes, add_root
from audit.model.rule import Rule
from audit.model.site import Site


def same_finding(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put what a rule reports in the same words for many devices under one cause, with its why and remedy."""
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.hit.node and item.rule.check.kind not in NOT_OF_THE_SITE:
            hit = item.hit
            said = (hit.network, hit.settings, hit.side, hit.message, hit.planned, hit.found)
            groups[item.rule.id, *said].append(i)
    for group in groups.values():
        if len(group) >= at_least:
            its, first = items[group[0]].rule, items[group[0]].hit
            words = {
                "why": its.why, "remedy": f"{rule.remedy} {its.remedy}",
                "source": its.source, "requirements": its.requirements,
            }  # fmt: skip
            tags = [items[i].hit.node for i in group]
            message = f"on {len(group)} devices: {first.message}"
            add_root(
                items, causes, rule.model_copy(update=words), group, first.network, message, tags,
                first.settings,
            )  # fmt: skip
