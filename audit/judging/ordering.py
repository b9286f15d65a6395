"""Ordering: how bad each finding is, which is told first, and by which name it is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from audit.checking import Found
from audit.folding.causes import Causes
from audit.model.base import Level, level_rank
from audit.model.rule import Gate
from audit.model.site import Site
from audit.reading.rules import Rulebook, level_of
from audit.waiving import Waiving

FIRST_OF_A_DEVICE = ("identity", "fold")
"""Kinds of checks that are told of a device before others."""


def finding_ids(site: Site, waiving: Waiving, causes: Causes, book: Rulebook, gate: Gate) -> dict[int, str]:
    """Return position of a finding → the id that it has in results, worst first."""
    causes = live_causes(causes, waiving)
    order = in_order(site, waiving.items, causes, levels_of(waiving, causes, book, gate), book)
    return ids_of(waiving.items, order)


def live_causes(causes: Causes, waiving: Waiving) -> Causes:
    """Return the causes without those that are waived: what a waiver does not name is told for itself.

    A waiver that has ended is told with the difference that it excused.
    """
    waived = waiving.waived
    return {i: cause for i, cause in (causes | waiving.under).items() if i in waived or cause not in waived}


def levels_of(waiving: Waiving, causes: Causes, book: Rulebook, gate: Gate) -> dict[int, Level]:
    """Return position of a finding → how bad it is.

    One that stands for others is as bad as the worst of them, and a cause never less bad than what it causes.
    """
    found, waived = waiving.items, waiving.waived
    levels: dict[int, Level] = {i: level_of(item.rule, book, gate) for i, item in enumerate(found)}
    worst: dict[int, Level] = {}
    for i, cause in causes.items():
        if (i in waived and cause not in waived) or i in waiving.under:
            continue
        worst[cause] = min(levels[i], worst.get(cause, levels[i]), key=level_rank)
    for cause, level in worst.items():
        own = level if found[cause].rule.check.kind == "fold" else levels[cause]
        levels[cause] = min(own, level, key=level_rank)
    return levels


def in_order(
    site: Site, found: Sequence[Found], causes: Causes, levels: Mapping[int, Level], book: Rulebook
) -> list[int]:
    """Return the positions of the findings: worst first, causes before symptoms, then as planned.

    Of a device, first who it is, then what names a cause of several things, then single things.
    """
    rules = {rule.id: n for n, rule in enumerate(book.rules)}
    networks = {network.name: n for n, network in enumerate(site.plan.networks)}

    def key(i: int) -> tuple[object, ...]:
        hit, kind = found[i].hit, found[i].rule.check.kind
        where = (networks.get(hit.network, len(networks)), hit.order, hit.node)
        return (
            level_rank(levels[i]),
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
    """Return an id for each finding, which does not depend on rows.

    Findings of one rule that name the same device and settings are numbered, the worst first. Tags may hold
    slashes: a number that would make the id of another one is passed over.
    """
    seen: Counter[str] = Counter()
    taken: set[str] = set()
    ids = {}
    for i in order:
        hit = found[i].hit
        side = "" if hit.side == "found" else "planned"
        name = "/".join(
            part for part in (found[i].rule.id, hit.network, hit.node, "+".join(hit.settings), side) if part
        )
        seen[name] += 1
        while (own := name if seen[name] == 1 else f"{name}/{seen[name]}") in taken:
            seen[name] += 1
        taken.add(own)
        ids[i] = own
    return ids
