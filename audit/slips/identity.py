"""Slips in tags and serial numbers, which are not settings and are compared as identifiers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checking import Found
from audit.model.device import Setting
from audit.model.identified import Match
from audit.model.result import Naming
from audit.model.site import Site
from audit.model.value import Value
from audit.slips.ranking import Ranking, rank
from audit.slips.results import naming

NAMED = ("tag-serial-mismatch", "serial-damaged", "serial-corrected")
"""What identity rules look for when a tag or serial number is not the planned one."""
TAG, SERIAL = Setting(name="tag", kind="text"), Setting(name="serial", kind="text")
NEIGHBOURS = "one-step"
"""Not a slip here: serial numbers and tags that are one apart are two devices from one delivery."""


def identity_namings(site: Site, items: Sequence[Found]) -> dict[int, Naming]:
    """Return finding → what to say about how a tag or serial number came about."""
    matches = {(match.block, match.index): match for match in site.matches}
    namings = {}
    for n, item in enumerate(items):
        if item.asks("identity", *NAMED) and item.hit.order in matches:
            for ranking in _rankings(site, matches[item.hit.order]):
                if made := naming(ranking, None):
                    namings[n] = made
    return namings


def _rankings(site: Site, match: Match) -> Iterator[Ranking]:
    block = site.blocks[match.block]
    pairs = (
        (TAG, block.tags[match.index], match.found_tag),
        (SERIAL, block.serials[match.index], match.found_serial),
    )
    for setting, planned, found in pairs:
        if planned and found:
            ranking = rank(setting, Value(planned, shown=planned), Value(found, shown=found))
            if NEIGHBOURS not in {slip.id for slip in ranking.slips}:
                yield ranking
