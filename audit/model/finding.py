"""Hits: what checks find, facts only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from audit.model.table import Place

STRANGERS = 10**9
"""Takes the place of a block in the order of findings about devices not in the plan: after all others."""
NOBODY = (STRANGERS, 10**6)
"""The order of findings about rows that belong to no device: after those about such devices."""
SITE_WIDE = (STRANGERS + 1, 0)
"""The order of findings about waivers and samples: the last of their network, as no work on a device."""
OF_NO_DEVICE = (STRANGERS + 2, 0)
"""The order of findings about change records that concern none of the devices."""


@dataclass(frozen=True, slots=True)
class Hit:
    """What a check found: facts only. The engine adds the rule's id, level, why and remedy."""

    network: str
    node: str
    """Tag of the device; empty if the hit concerns a network or the site."""
    settings: tuple[str, ...]
    message: str
    planned: str = ""
    found: str = ""
    places: tuple[Place, ...] = ()
    others: tuple[str, ...] = ()
    """Tags of the other devices concerned; of all of them if the hit is not about a single one."""
    side: str = "found"
    order: tuple[int, int] = (0, 0)
    """Block and index of the device, so that findings follow the plan's order."""
    event: str = ""
    """What has happened to the device as a whole since a baseline; empty if nothing has."""
    exact: bool = False
    """Whether it holds even where what was found counts as planned, as a deadband of zero does."""


class Gap(NamedTuple):
    """What was missing, so that some devices or networks could not be looked at."""

    what: str
    number: int
    """The number of devices or networks."""
    tags: tuple[str, ...] = ()
    """The devices, if something is to be done about each: in the plan, or by another list."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """The outcome of a check for a rule: how much it looked at, and what it found."""

    looked_at: int
    hits: list[Hit]
    gaps: tuple[Gap, ...] = ()
    """What was missing for looking at the rest, most common first."""
