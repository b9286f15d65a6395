"""Folding: findings with one cause are put under it.

A symptom on a device goes under the finding that causes it. Orphaned nodes go under their gateway.
Series that were filled down, tables that slipped by a row, and the same difference on many nodes get
a finding of their own that names the cause.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from audit.checking import Found
from audit.folding.alike import same_difference
from audit.folding.causes import Causes, root_of
from audit.folding.gateways import under_gateway
from audit.folding.rows import filled_series, rows_shifted
from audit.folding.symptoms import under_symptoms
from audit.folding.unread import unread, unread_device
from audit.model.arguments import Fold
from audit.model.rule import Rule
from audit.model.site import Site


def fold(site: Site, found: Sequence[Found], rules: Sequence[Rule]) -> tuple[list[Found], Causes]:
    """Return the findings with those that folding adds, and for each dependent one its root cause."""
    items = list(found)
    causes: Causes = {}
    under_symptoms(items, causes)
    for rule in rules:
        if isinstance(rule.check, Fold):
            PATTERNS[rule.check.pattern](site, items, causes, rule, rule.check.at_least)
    return items, {i: root_of(i, causes) for i in causes}


PATTERNS: dict[str, Callable[[Site, list[Found], Causes, Rule, int], None]] = {
    "gateway-off-plan": under_gateway,
    "filled-series": filled_series,
    "rows-shifted": rows_shifted,
    "same-difference": same_difference,
    "unread": unread,
    "unread-device": unread_device,
}
