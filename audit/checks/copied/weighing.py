"""Weighing: signs of a copy put together, for each network and reader.

One strong sign is enough; of weak ones it takes two. A machine's export is not a copy, whatever its times.
"""

from __future__ import annotations

from collections.abc import Sequence

from audit.checks.context import Context
from audit.checks.copied.put_back import put_back
from audit.checks.copied.readings import again, alike
from audit.checks.copied.texts import to_the_letter
from audit.checks.copied.times import before_installation, evenly, hurried, in_one_minute, stays
from audit.checks.copied.visits import Sign, Visit, visits
from audit.grouping import grouped
from audit.model.asked_of_evidence import CopySigns
from audit.model.finding import Hit, Outcome
from audit.people import one_spelling

FEWEST_NODES = 2
"""Readers with fewer nodes are not looked at. Judgement."""


def looks_copied(context: Context, limits: CopySigns) -> Outcome:
    """Return a hit for each network and reader whose readback shows signs of a copy."""
    somebody = any("read_by" in table.columns for table in context.site.tables())
    groups = grouped(
        ((visit.block.networks[visit.i], one_spelling(visit.field("read_by")) if somebody else ""), visit)
        for visit in visits(context.site)
    )
    hits = []
    for (network, _), those in groups.items():
        if _telling(those, limits):  # worth looking again without rows that nobody filled in
            filled = [visit for visit in those if visit.read_anything()]
            signs = _telling(filled, limits)
            hits += [_hit(network, filled, signs)] if signs else []
    return Outcome(sum(map(len, groups.values())), hits)


def _telling(those: Sequence[Visit], limits: CopySigns) -> list[Sign]:
    """Return the signs in what one reader read, strong ones first, or none if they are not enough."""
    if len(those) < FEWEST_NODES:
        return []
    signs = sorted(_signs(those, limits), key=lambda sign: not sign.strong)
    enough = len(signs) >= limits.weak_signs or any(sign.strong for sign in signs)
    return signs if enough else []


def _signs(those: Sequence[Visit], limits: CopySigns) -> list[Sign]:
    """Return the signs in what one reader read; times count only if the reader is named."""
    timed = stays(those) if those[0].field("read_by") else []
    signs = [
        to_the_letter(those, limits.telling_texts),
        again(those, limits.nodes_as_before),
        put_back(those, limits.nodes_as_before),
        hurried(timed, limits),
        in_one_minute(timed, limits.nodes_in_one_minute),
        evenly(timed, limits.nodes_at_even_times),
        before_installation(those, limits.nodes_before_installation),
        alike(those, limits.nodes_alike),
    ]
    return [sign for sign in signs if sign]


def _hit(network: str, those: Sequence[Visit], signs: Sequence[Sign]) -> Hit:
    reader = those[0].field("read_by")
    who = f"what {reader} read" if reader else "what was read"
    count = "a sign" if len(signs) == 1 else f"{len(signs)} signs"
    message = (
        f"{who} on {len(those):,} nodes shows {count} of copying: {'; '.join(sign.words for sign in signs)}"
    )
    places = tuple(dict.fromkeys(place for sign in signs for place in sign.places))
    tags = tuple(visit.tag for visit in those)
    return Hit(network, "", (), message, found=reader, places=places, others=tags, order=those[0].order)
