"""Hits: what checks find, facts only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from audit.model.table import Place

STRANGERS = 10**9
"""In the place of a block, where findings stand about devices that are not in the plan: behind all others."""
NOBODY = (STRANGERS, 10**6)
"""Where findings about rows of nobody stand: behind those about such devices."""
SITE_WIDE = (STRANGERS + 1, 0)
"""Where findings about papers and samples stand: behind all of their network, as no work on a device."""
OF_NO_DEVICE = (STRANGERS + 2, 0)
"""Where findings about change records stand that are about none of the devices."""


@dataclass(frozen=True, slots=True)
class Hit:
    """What a check found: facts only. The engine adds the rule's id, level, why and remedy."""

    network: str
    node: str
    """Tag of the device; empty for what concerns a network or the site."""
    settings: tuple[str, ...]
    message: str
    planned: str = ""
    found: str = ""
    places: tuple[Place, ...] = ()
    others: tuple[str, ...] = ()
    """Tags of the other devices concerned; of all of them, where the hit is about no single one."""
    side: str = "found"
    order: tuple[int, int] = (0, 0)
    """Block and index of the device, so that findings stand in the plan's order."""
    event: str = ""
    """What has happened to the device as a whole since a baseline; empty where nothing did."""


class Gap(NamedTuple):
    """What was lacking to look at some devices or networks."""

    what: str
    number: int
    """On how many devices or networks."""
    tags: tuple[str, ...] = ()
    """The devices, where something is to be done about each: in the plan, or by another list."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check made of its rule: how much it looked at, and what it found."""

    looked_at: int
    hits: list[Hit]
    gaps: tuple[Gap, ...] = ()
    """What was lacking to look at the rest, commonest first."""
