"""A readback that looks copied: every text that was read is, to the letter, the plan's own.

A person who reads a display writes what it shows. Where the plan pads, trims or spells numbers its own
way, and the readback does the same throughout a network, it was hardly read off displays.
"""

from __future__ import annotations

import re

from audit.checks.context import Context
from audit.model.finding import Hit, Outcome
from audit.model.site import Block

TELLING_TEXTS = 5
"""Fewest texts with a spelling of their own before their agreement says anything. Judgement."""
FEWEST_NODES = 2
"""Fewest nodes of a network that have to agree. Judgement."""

_SPELLED = re.compile(r"0\d+.*|.*\.\d*0|\s.*|.*\s|.*\s\s.*")
"""Texts with a spelling of their own: leading zeros, trailing zeros, stray blanks."""


def looks_copied(context: Context) -> Outcome:
    """Return a hit for each network whose readback is the plan's text to the letter."""
    looked_at = 0
    networks: dict[str, list[tuple[int, Block, int]]] = {}
    for b, block in enumerate(context.site.blocks):
        for i, rows in enumerate(block.rows):
            if rows and not block.gateway:
                looked_at += 1
                networks.setdefault(block.networks[i], []).append((b, block, i))
    hits = []
    for network, nodes in networks.items():
        if len(nodes) >= FEWEST_NODES and _all_to_the_letter(nodes):
            b, block, i = nodes[0]
            message = f"every text read on {len(nodes)} nodes is the plan's to the letter, spelling included"
            others = tuple(its.tags[k] for _, its, k in nodes)
            place = block.found_place(i, "tag")
            hits.append(Hit(network, "", (), message, places=(place,), others=others, order=(b, i)))
    return Outcome(looked_at, hits)


def _all_to_the_letter(nodes: list[tuple[int, Block, int]]) -> bool:
    telling = 0
    for _, block, i in nodes:
        for name in block.planned.keys() & block.found.keys():
            planned, found = block.planned_place(i, name).raw, block.found_place(i, name).raw
            if planned and found and planned != found:
                return False
            telling += bool(found and _SPELLED.fullmatch(found))
    return telling >= TELLING_TEXTS
