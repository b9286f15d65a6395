"""The same finding, in the same words, at many devices of a network."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import NOT_OF_THE_SITE, Found
from audit.folding.causes import Causes, add_root
from audit.model.rule import Rule
from audit.model.site import Site

Same = tuple[str, str, tuple[str, ...], str, str]
"""Rule, network, settings, side and message."""


def same_finding(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put what a rule says of many devices alike under one cause, with its reason and its remedy."""
    groups: dict[Same, list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.hit.node and item.rule.check.kind not in NOT_OF_THE_SITE:
            hit = item.hit
            groups[item.rule.id, hit.network, hit.settings, hit.side, hit.message].append(i)
    for (_, network, settings, _, message), group in groups.items():
        if len(group) >= at_least:
            tags = [items[i].hit.node for i in group]
            its = items[group[0]].rule
            words = {"why": its.why, "remedy": f"{rule.remedy} {its.remedy}", "source": its.source}
            said = f"on {len(group)} devices alike: {message}"
            add_root(items, causes, rule.model_copy(update=words), group, network, said, tags, settings)
