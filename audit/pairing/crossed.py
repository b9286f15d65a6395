"""Pairs of devices found under each other's tag: whether units, or only serial numbers, are crossed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from audit.model.identified import Match
from audit.model.site import Site, Target
from audit.pairing.identifying import swapped
from audit.phrases import listed

MOST_SETTINGS = 6
"""Most settings that a message names."""


class Crossed(NamedTuple):
    """Two devices found under each other's tag, and what their settings show."""

    one: Match
    other: Match
    own: Sequence[str]
    """Settings as planned for the device that a row was taken for, where the other's plan differs."""
    others: Sequence[str]
    """Settings as planned for the other device."""

    @property
    def set_for_tags(self) -> bool:
        """Whether only the serial numbers are crossed: all telling settings are as planned for the tags."""
        return self.one.how == "tag" and bool(self.own) and not self.others

    @property
    def shown(self) -> str:
        """The first of the settings as planned for their own device, in words."""
        return listed(self.own, MOST_SETTINGS)


def crossed_pairs(site: Site) -> Iterator[Crossed]:
    """Yield each pair of devices found under each other's tag, once.

    A gateway and a node never change places: such a pair counts only where the serial numbers are crossed.
    """
    blocks = site.blocks
    for device, (match, other) in swapped(blocks, site.matches).items():
        if device < (other.block, other.index):
            crossed = Crossed(match, other, *_telling(site, match, other))
            if blocks[match.block].gateway == blocks[other.block].gateway or crossed.set_for_tags:
                yield crossed


def in_crossed_pairs(site: Site) -> dict[Target, Crossed]:
    """Return device → the pair that it is in."""
    return {
        (match.block, match.index): crossed
        for crossed in crossed_pairs(site) for match in (crossed.one, crossed.other)
    }  # fmt: skip


def _telling(site: Site, one: Match, other: Match) -> tuple[list[str], list[str]]:
    """Return the settings as planned for their own device and not the other, and those the other way round.

    A setting that the other's type does not have counts as a device's own.
    """
    own: list[str] = []
    others: list[str] = []
    for match, its in ((one, other), (other, one)):
        block, beside = site.blocks[match.block], site.blocks[its.block]
        for setting in block.type.settings:
            found, planned = (block.value(side, setting.name, match.index) for side in ("found", "planned"))
            theirs = beside.value("planned", setting.name, its.index)
            alone = beside.type.setting(setting.name) is None
            if found.read and planned.read and (theirs.read or alone) and planned.content != theirs.content:
                own += [setting.name] if found.content == planned.content else []
                others += [setting.name] if found.content == theirs.content else []
    return list(dict.fromkeys(own)), list(dict.fromkeys(others))
