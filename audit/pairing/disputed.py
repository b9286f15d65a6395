"""Rows with the tag of one planned device and the serial number of another: which device they are about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import reduce
from typing import NamedTuple

from audit.grouping import grouped
from audit.model.site import Block, Target
from audit.pairing.matching import agreeing
from audit.pairing.readback_rows import Found, Row
from audit.reading.meanings import Meanings
from audit.reading.moments import is_later


class Disputed(NamedTuple):
    """A row that names two planned devices."""

    row: Row
    tagged: Target
    numbered: Target
    shared: bool
    """Whether its serial number is beside other tags as well, and so does not identify a device by itself."""
    tag_read_right: bool
    """Whether another row has its tag with the planned serial number: this one need not be that device."""


def settled(blocks: Sequence[Block], rows: Mapping[int, Disputed], meanings: Meanings) -> Found:
    """Return the device that each row is about, and whether its tag or serial number decided.

    Rows that name each other's devices were mixed up together: two units, or a column that has slipped.
    If each row agrees with one side more than with the other, and no device is taken twice that way, each row
    goes to that side. Otherwise the side with which more of their settings agree in total decides for all of
    them; if neither has more, the serial number decides, or the tag if the serial number is beside other tags
    as well. Of several readings under one tag and serial number the newest that agrees more with one side
    decides: a gateway's list made since agrees with both alike.
    """
    found: Found = {}
    for group in _mixed_up(rows):
        each = {
            r: agreeing(blocks, rows[r].tagged, rows[r].row, meanings)
            - agreeing(blocks, rows[r].numbered, rows[r].row, meanings)
            for r in group
        }
        newest = _newest(rows, each)
        leaning = {r: each[r] for r in newest.values()}
        own = {r: rows[r].tagged if n > 0 else rows[r].numbered for r, n in leaning.items()}
        shared = any(rows[r].shared for r in group)
        if all(leaning.values()) and len({*own.values()}) == len(own) and not shared:
            found |= {r: (own[n], "tag" if leaning[n] > 0 else "serial") for r, n in newest.items()}
            continue
        more = sum(leaning.values())
        by_settings = more < 0 and not all(rows[r].shared and not rows[r].tag_read_right for r in group)
        for r in group:
            by_tag = more > 0 or (rows[r].shared and not by_settings)
            found[r] = (rows[r].tagged, "tag") if by_tag else (rows[r].numbered, "serial")
    return found


def _newest(rows: Mapping[int, Disputed], leaning: Mapping[int, int]) -> dict[int, int]:
    """Return number of a row → that of the newest telling row with its tag and serial number, or its own."""
    newest: dict[int, int] = {}
    for alike in grouped(((rows[r].tagged, rows[r].numbered), r) for r in leaning).values():
        telling = [r for r in alike if leaning[r]] or alike
        last = reduce(lambda one, r: r if _is_later(rows[r], rows[one]) else one, telling)
        newest |= {r: r if r in telling and not _is_later(rows[last], rows[r]) else last for r in alike}
    return newest


def _is_later(one: Disputed, than: Disputed) -> bool:
    return is_later(one.row.read_at, than.row.read_at)


def _mixed_up(rows: Mapping[int, Disputed]) -> list[list[int]]:
    """Return the numbers of the rows in groups, so that no device is named in two groups."""
    import networkx

    graph: networkx.Graph[Target] = networkx.Graph((row.tagged, row.numbered) for row in rows.values())
    group_of = {device: n for n, group in enumerate(networkx.connected_components(graph)) for device in group}
    groups = grouped((group_of[row.tagged], r) for r, row in rows.items())
    return list(groups.values())
