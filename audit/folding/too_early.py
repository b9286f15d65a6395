"""Many devices that were read too early: before they were installed, or before they were last set."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root
from audit.model.asked_of_evidence import Evidence
from audit.model.rule import Rule
from audit.model.site import Site

WORDS = {"before-installation": "installed", "before-set": "last set"}
"""What a rule looks for → what was done after the reading."""


def read_too_early(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find networks with many devices that were read too early: one sheet, or one wrong date."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        check = item.rule.check
        if i not in causes and isinstance(check, Evidence) and check.what in WORDS:
            groups[check.what, item.hit.network].append(i)
    for (what, network), group in groups.items():
        if len(group) >= at_least:
            message = f"{len(group)} devices were read before they were {WORDS[what]}"
            add_root(items, causes, rule, group, network, message, [items[i].hit.node for i in group], ())
