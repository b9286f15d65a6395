"""Rows whose tag is that of one planned device and whose serial number that of another: whose they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from audit.grouping import grouped
from audit.model.site import Block, Target
from audit.model.table import Table
from audit.pairing.matching import agreeing
from audit.reading.meanings import Meanings


class Disputed(NamedTuple):
    """A row that names two planned devices."""

    table: Table
    entry: int
    tagged: Target
    numbered: Target
    shared: bool
    """Whether its serial number stands beside other tags as well, and so names nobody by itself."""
    read_besides: bool
    """Whether its tag also stands beside the serial number planned for it: this row need not be its own."""


def settled(
    blocks: Sequence[Block], rows: Mapping[int, Disputed], meanings: Meanings
) -> dict[int, tuple[Target, str]]:
    """Return number of a row → the device that it is about, and whether its tag or its serial number told.

    Rows that name each other's devices were mixed up together: two units, or a column that has slipped.
    Where each agrees with one side more than with the other, and no device is taken twice by that, each goes
    there. Otherwise the side with which more of their settings agree in all tells for all of them; the serial
    number where neither does.
    """
    found: dict[int, tuple[Target, str]] = {}
    for group in _mixed_up(rows):
        leaning = {
            r: agreeing(blocks, rows[r].tagged, rows[r].table, rows[r].entry, meanings)
            - agreeing(blocks, rows[r].numbered, rows[r].table, rows[r].entry, meanings)
            for r in group
        }
        own = {r: rows[r].tagged if n > 0 else rows[r].numbered for r, n in leaning.items()}
        shared = any(rows[r].shared for r in group)
        if all(leaning.values()) and len({*own.values()}) == len(group) and not shared:
            found |= {r: (own[r], "tag" if n > 0 else "serial") for r, n in leaning.items()}
            continue
        more = sum(leaning.values())
        told_by_settings = more < 0 and not all(rows[r].shared and not rows[r].read_besides for r in group)
        for r in group:
            by_tag = more > 0 or (rows[r].shared and not told_by_settings)
            found[r] = (rows[r].tagged, "tag") if by_tag else (rows[r].numbered, "serial")
    return found


def _mixed_up(rows: Mapping[int, Disputed]) -> list[list[int]]:
    """Return the numbers of the rows in groups, of which none names a device of another."""
    import networkx

    graph: networkx.Graph[Target] = networkx.Graph((row.tagged, row.numbered) for row in rows.values())
    group_of = {device: n for n, group in enumerate(networkx.connected_components(graph)) for device in group}
    groups = grouped((group_of[row.tagged], r) for r, row in rows.items())
    return list(groups.values())
