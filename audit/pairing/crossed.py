"""Devices found in pairs under each other's tag: whether units, or only serial numbers, are crossed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from audit.model.identified import Match
from audit.model.site import Site, Target
from audit.pairing.identifying import swapped
from audit.phrases import listed

MOST_SETTINGS = 6
"""Settings that are named in a message."""


class Crossed(NamedTuple):
    """Two devices under each other's tag, and what they show of it."""

    one: Match
    other: Match
    own: Sequence[str]
    """Settings that show the plan of the device that a row was taken for, where the other's is another."""
    others: Sequence[str]
    """Settings that show the other's plan."""

    @property
    def set_for_tags(self) -> bool:
        """Whether only the serial numbers are crossed: all that tells is as planned for the tags."""
        return self.one.how == "tag" and bool(self.own) and not self.others

    @property
    def shown(self) -> str:
        """The first settings that show it, in words."""
        return listed(self.own, MOST_SETTINGS)


def crossed_pairs(site: Site) -> Iterator[Crossed]:
    """Yield the two devices of each pair under each other's tag, once.

    A gateway and a node never change places: with these only the serial numbers may be told to be crossed.
    """
    blocks = site.blocks
    for device, (match, other) in swapped(blocks, site.matches).items():
        if device < (other.block, other.index):
            crossed = Crossed(match, other, *_telling(site, match, other))
            if blocks[match.block].gateway == blocks[other.block].gateway or crossed.set_for_tags:
                yield crossed


def in_crossed_pairs(site: Site) -> dict[Target, Crossed]:
    """Return each device of such a pair, with the pair."""
    return {
        (match.block, match.index): crossed
        for crossed in crossed_pairs(site) for match in (crossed.one, crossed.other)
    }  # fmt: skip


def _telling(site: Site, one: Match, other: Match) -> tuple[list[str], list[str]]:
    """Return the settings that are as planned for a device and not for the other, and those the other way.

    One that the other's type does not have is a device's own.
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
