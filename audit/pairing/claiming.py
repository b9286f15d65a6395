"""Claiming: which rows are a device's own, where rows with several serial numbers claim it."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set

from audit.model.site import Block, Target
from audit.model.table import Table
from audit.pairing.readback_rows import Found, Row
from audit.reading.identifiers import damaged, mistyped, spelling
from audit.reading.moments import in_order

Own = tuple[Row, str]
"""A row of a device, and how it was identified as that device's."""
Times = Mapping[str, datetime.datetime]
"""Text → time of a reading."""


def by_device(
    blocks: Sequence[Block],
    rows: Sequence[Row],
    found: Found,
    times: Times,
    known: Set[str],
) -> tuple[dict[Target, list[Own]], list[Row]]:
    """Return device → its rows, oldest reading first, and the rows that belong to no planned device.

    Where rows with different serial numbers claim one device, those with the planned serial number are its
    own, or else those with the serial number of the newest reading. The others are strangers, except where
    they have the planned serial number mis-keyed, or are all later than its own rows. `known` are the serial
    numbers of all planned devices.
    """
    claims: dict[Target, list[Own]] = defaultdict(list)
    loose = [row for r, row in enumerate(rows) if r not in found]
    for r, (target, how) in sorted(found.items()):
        claims[target].append((rows[r], how))

    def time_of(row: Row) -> datetime.datetime:
        return times[row.read_at]

    loose.sort(key=time_of)
    for claimants in claims.values():
        if len(claimants) > 1:
            claimants.sort(key=lambda own: time_of(own[0]))
    of_device = dict(claims)
    for (b, i), claimants in claims.items() if len(claims) < len(found) else ():
        others = _serials_of_others(claimants, blocks[b].serials[i], blocks[b].tags[i], known)
        if others:
            loose.extend(row for row, _ in claimants if row.serial in others)
            of_device[b, i] = [(row, how) for row, how in claimants if row.serial not in others]
    return of_device, loose


def _serials_of_others(claimants: Sequence[Own], planned: str, tag: str, known: Set[str]) -> set[str]:
    """Return the serial numbers in the rows that claim a device that are those of other units."""
    serials = [row.serial for row, _ in claimants if row.serial and not damaged(row.serial)]
    if len(set(map(spelling, serials))) < 2:
        return set()
    own = next((s for s in serials if planned and spelling(s) == spelling(planned)), serials[-1])
    others = {serial for serial in serials if spelling(serial) != spelling(own)}
    if planned and spelling(own) == spelling(planned):
        others -= _written_wrongly(claimants, others, planned, tag, known)
        others -= {serial for serial in others if _is_later(claimants, serial, planned)}
    return others


def _written_wrongly(
    claimants: Sequence[Own], others: Iterable[str], planned: str, tag: str, known: Set[str]
) -> set[str]:
    """Return those of the other serial numbers in a device's rows that are its own, written wrongly.

    One that is not planned must look like a slip of the planned one and be under the device's own tag; one of
    another planned device must have been read correctly later.
    """
    tagged = {row.serial for row, _ in claimants if spelling(row.tag) == spelling(tag)}
    return {
        serial for serial in others
        if (corrected_later(claimants, "serial", serial, planned) if serial in known
            else serial in tagged and mistyped(serial, planned))
    }  # fmt: skip


def corrected_later(rows: Sequence[Own], field: str, other: str, planned: str) -> bool:
    """Tell whether the planned tag or serial number was read after the last row with this other one.

    `field` is `tag` or `serial`.
    """
    if spelling(other) == spelling(planned):
        return False
    said = [(row.tag if field == "tag" else row.serial, row[:2]) for row, _ in rows]
    last = max(n for n, (text, _) in enumerate(said) if text == other)
    return any(text == planned and is_outdated(field, said[last][1], its) for text, its in said[last + 1 :])


def is_outdated(field: str, row: tuple[Table, int], by: tuple[Table, int]) -> bool:
    """Tell whether a row was read before another one that shows what has become of its tag or serial number.

    A tag only if both were read in the same way: a label and what was entered may differ for good.
    """
    (table, entry), (later, its) = row, by
    in_time = in_order(table.texts("read_at")[entry], later.texts("read_at")[its])
    return in_time and (field == "serial" or _read_the_same_way(row, by))


def _read_the_same_way(one: tuple[Table, int], other: tuple[Table, int]) -> bool:
    """Tell whether two rows say the same of how they were read; where neither says it, tables tell.

    Those with mostly the same columns are of one kind.
    """
    (table, entry), (beside, its) = one, other
    how, its_how = table.texts("read_how")[entry].strip(), beside.texts("read_how")[its].strip()
    columns, theirs = table.columns.keys(), beside.columns.keys()
    mostly = columns == theirs or len(columns & theirs) > len(columns ^ theirs)
    return how == its_how and (bool(how) or mostly)


def _is_later(rows: Sequence[Own], serial: str, planned: str) -> bool:
    """Tell whether the rows with another serial number are all later than those with the planned one."""
    own = max(n for n, (row, _) in enumerate(rows) if spelling(row.serial) == spelling(planned))
    first = min(n for n, (row, _) in enumerate(rows) if row.serial == serial)
    return own < first and in_order(rows[own][0].read_at, rows[first][0].read_at)
