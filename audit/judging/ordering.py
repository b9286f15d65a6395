"""Ordering: how bad each finding is, which comes first, and which id it has."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from audit.checking import Found
from audit.folding.causes import Causes
from audit.model.arguments import PatternName
from audit.model.base import Level, level_rank
from audit.model.rule import Gate
from audit.model.site import Site
from audit.reading.rules import Rulebook, level_of
from audit.waiving import Waiving

FIRST_OF_A_DEVICE = ("identity", "fold")
"""Kinds of checks whose findings on a device come before its others."""
ONCE_A_DEVICE: tuple[PatternName, ...] = (
    "at-default", "other-network", "neighbour-row", "columns-shifted", "unread-device",
)  # fmt: skip
"""Patterns of folding that find a cause once on a device at most, with all settings that come of it.

These get fewer as they are set or read, and it is the same cause still: its id does not name them.
"""


def finding_ids(site: Site, waiving: Waiving, causes: Causes, book: Rulebook, gate: Gate) -> dict[int, str]:
    """Return position of a finding → the id that it has in results, worst first."""
    causes = live_causes(causes, waiving)
    order = in_order(site, waiving, causes, levels_of(waiving, causes, book, gate), book)
    return ids_of(waiving.items, order)


def live_causes(causes: Causes, waiving: Waiving) -> Causes:
    """Return the causes without those that are waived: what a waiver does not name is reported on its own.

    A waiver that has ended is reported under the difference that it excused.
    """
    waived = waiving.waived
    return {i: cause for i, cause in (causes | waiving.under).items() if i in waived or cause not in waived}


def levels_of(waiving: Waiving, causes: Causes, book: Rulebook, gate: Gate) -> dict[int, Level]:
    """Return position of a finding → its level.

    A finding that stands for others has the level of the worst of them, and a cause never a lower level than
    what it causes.
    """
    found, waived = waiving.items, waiving.waived
    levels: dict[int, Level] = {i: level_of(item.rule, book, gate) for i, item in enumerate(found)}
    worst: dict[int, Level] = {}
    for i, cause in causes.items():
        if (i in waived and cause not in waived) or i in waiving.under:
            continue
        worst[cause] = min(levels[i], worst.get(cause, levels[i]), key=level_rank)
    for cause, level in worst.items():
        own = level if found[cause].folds() else levels[cause]
        levels[cause] = min(own, level, key=level_rank)
    return levels


def in_order(
    site: Site, waiving: Waiving, causes: Causes, levels: Mapping[int, Level], book: Rulebook
) -> list[int]:
    """Return the positions of the findings: worst first, causes before symptoms, then in the plan's order.

    A cause comes where the worst finding listed under it belongs, such as that a waiver has expired: what
    fails a run has to be among the first. For each device, first its identity, then what stands for several
    findings, then single findings.
    """
    found = waiving.items
    ranks = {i: level_rank(level) for i, level in levels.items()}
    for i, cause in causes.items():
        if i not in waiving.waived:
            ranks[cause] = min(ranks[cause], level_rank(levels[i]))
    rules = {rule.id: n for n, rule in enumerate(book.rules)}
    networks = {network.name: n for n, network in enumerate(site.plan.networks)}

    def key(i: int) -> tuple[object, ...]:
        hit, kind = found[i].hit, found[i].rule.check.kind
        where = (networks.get(hit.network, len(networks)), hit.order, hit.node)
        return (
            ranks[i],
            i in causes,
            where,
            FIRST_OF_A_DEVICE.index(kind) if kind in FIRST_OF_A_DEVICE else len(FIRST_OF_A_DEVICE),
            rules[found[i].rule.id],
            hit.settings,
            hit.side,
            hit.message,
        )

    return sorted(range(len(found)), key=key)


def ids_of(found: Sequence[Found], order: Sequence[int]) -> dict[int, str]:
    """Return an id for each finding that does not depend on rows.

    Findings of one rule that name the same device and settings are numbered, the worst first. Since tags may
    hold slashes, a number is skipped if it would make the id of another finding.
    """
    seen: Counter[str] = Counter()
    taken: set[str] = set()
    ids = {}
    for i in order:
        hit = found[i].hit
        side = "" if hit.side == "found" else "planned"
        settings = "" if found[i].folds(*ONCE_A_DEVICE) else "+".join(hit.settings)
        name = "/".join(part for part in (found[i].rule.id, hit.network, hit.node, settings, side) if part)
        seen[name] += 1
        while (own := name if seen[name] == 1 else f"{name}/{seen[name]}") in taken:
            seen[name] += 1
        taken.add(own)
        ids[i] = own
    return ids
