"""Identifying: which planned device each row of the readback is about.

By serial number, then by tag (where these name two devices: disputed.py), then by either in another
spelling, then by network and address, then by the date that a spreadsheet makes of a tag; what is left is
matched by the most settings in common (matching.py).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import islice, repeat
from typing import NamedTuple

from audit.disputed import Disputed, settled
from audit.matching import Left, agreeing, match_by_settings
from audit.model.site import Block, Match, Rows, Target
from audit.model.table import Table
from audit.reading.dates import days_like, days_read, made_of, may_be_date
from audit.reading.meanings import Meanings
from audit.reading.values import all_bare, damaged, spelling

Found = dict[int, tuple[Target, str]]
"""Number of a row → the device that it is about, and how that is known."""


class Row(NamedTuple):
    """A row of the readback, with what says which device it is."""

    table: Table
    entry: int
    tag: str
    serial: str
    network: str


def rows_of(table: Table) -> list[Row]:
    """Return the rows of a table."""
    columns = (all_bare(table.texts(name)) for name in ("tag", "serial", "network"))
    return list(map(Row, repeat(table), range(len(table.rows)), *columns))


def rows_as_planned(blocks: Sequence[Block], tables: Sequence[Table]) -> list[list[Rows]] | None:
    """Return the rows of each device of each block, if every row gives a planned tag and its serial number.

    Mostly they do, and then nothing else need be asked, nor a Row be made. None where one does not.
    """
    tags = [tag for block in blocks for tag in block.tags]
    serials = [serial for block in blocks for serial in block.serials]
    index = {serial: n for n, serial in enumerate(serials) if serial}
    twice = len(set(tags)) < len(tags)  # only their networks tell them apart
    if twice or len(index) + serials.count("") < len(serials) or any(map(damaged, index)):
        return None
    rows: list[Rows] = [[] for _ in tags]
    for table in tables:
        devices = [index.get(serial, -1) for serial in all_bare(table.texts("serial"))]
        if -1 in devices or [tags[n] for n in devices] != list(all_bare(table.texts("tag"))):
            return None
        for entry, n in enumerate(devices):
            rows[n].append((table, entry))
    every = iter(rows)
    return [list(islice(every, len(block))) for block in blocks]


def identify(blocks: Sequence[Block], rows: Sequence[Row], meanings: Meanings) -> Found:
    """Return the device of each row that can be told; rows that are not in it belong to strangers."""
    everyone = [target for b, block in enumerate(blocks) for target in zip(repeat(b), range(len(block)))]
    found = _by_serial_or_tag(blocks, everyone, rows, meanings)
    found |= _tagged_as_another(blocks, everyone, rows, found, meanings)
    if len(found) < len(rows):
        left = [r for r in range(len(rows)) if r not in found]
        found |= _by_spelling(blocks, everyone, rows, left)
        found |= _by_address(blocks, everyone, rows, found, meanings)
        found |= _by_the_same_name(rows, found)
        found |= _by_date(blocks, everyone, rows, found)
        found |= _by_settings(blocks, everyone, rows, found, meanings)
    return found


def is_another(found: str, planned: str) -> bool:
    """Tell whether an identifier names another device, and is not only written otherwise or made a date.

    Nothing is another where one of the two is not known.
    """
    known = bool(found and planned)
    return known and spelling(found) != spelling(planned) and not made_of(found, planned)


def swapped(blocks: Sequence[Block], matches: Sequence[Match]) -> dict[Target, tuple[Match, Match]]:
    """Return device → its match and its partner's, for those found in pairs under each other's tag.

    Both of a pair were matched by serial number, or both by tag.
    """
    pairs = {}
    for how in ("serial", "tag"):
        those = [match for match in matches if match.how == how]
        shown = [match.found_tag if how == "serial" else match.found_serial for match in those]
        names = [blocks[m.block].tags[m.index] if how == "serial" else blocks[m.block].serials[m.index]
                 for m in those]  # fmt: skip
        by_name = {name: (match, its) for name, match, its in zip(names, those, shown, strict=True)}
        for name, match, its in zip(names, those, shown, strict=True):
            other, back = by_name.get(its, (match, ""))
            if name and other is not match and back == name:
                pairs[match.block, match.index] = (match, other)
    return pairs


def unique_index(keys: Sequence[tuple[str, Target]]) -> dict[str, Target]:
    """Return key → target for the keys that name a single one."""
    index = dict(keys)
    if len(index) == len(keys) and "" not in index:  # as it mostly is
        return index
    count = Counter(key for key, _ in keys)
    return {key: target for key, target in keys if key and count[key] == 1}


def _by_serial_or_tag(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], meanings: Meanings
) -> Found:
    serials = [serial for block in blocks for serial in block.serials]
    tags = [tag for block in blocks for tag in block.tags]
    by_serial = unique_index(list(zip(serials, everyone, strict=True)))
    by_tag = unique_index(list(zip(tags, everyone, strict=True)))
    by_tag_there = {}
    if len(by_tag) < len(everyone):  # some tags come more than once, and only their networks tell them apart
        there = [(f"{blocks[b].networks[i]}\n{blocks[b].tags[i]}", (b, i)) for b, i in everyone]
        by_tag_there = unique_index(there)
    times = Counter(row.serial for row in rows)
    tags_of_serial: dict[str, set[str]] = defaultdict(set)
    for row in rows if len(times) < len(rows) else ():
        if row.tag:  # a gateway's list, for instance, gives none
            tags_of_serial[row.serial].add(row.tag)
    found: Found = {}
    disputed: dict[int, Disputed] = {}
    for r, row in enumerate(rows):
        tagged = by_tag.get(row.tag) or (by_tag_there and by_tag_there.get(f"{row.network}\n{row.tag}"))
        numbered = by_serial.get(row.serial)
        if numbered and tagged and numbered != tagged:
            shared = len(tags_of_serial[row.serial]) > 1
            disputed[r] = Disputed(row.table, row.entry, tagged, numbered, shared)
        elif target := numbered or tagged:
            found[r] = (target, "serial" if numbered else "tag")
    if not disputed:
        return found
    told = settled(blocks, disputed, meanings)
    by_tag_after_all = {rows[r].serial: one for r, one in told.items()
                        if one[1] == "tag" and not disputed[r].shared}  # fmt: skip
    for r, row in enumerate(rows):
        if not row.tag and row.serial in by_tag_after_all:
            found[r] = by_tag_after_all[row.serial]
    return found | told


def _tagged_as_another(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found, meanings: Meanings
) -> Found:
    """Find unread devices of rows with a tag alone, whose serial number stands in another row of the sheet.

    Only where more of a row's settings are planned for the unread one than for the one of its tag.
    """
    numbered = {(id(rows[r].table), target) for r, (target, how) in known.items() if how == "serial"}
    left = {
        r: Left(r, rows[r].table, rows[r].entry, rows[r].network, "")
        for r, (target, how) in known.items()
        if how == "tag" and not rows[r].serial and (id(rows[r].table), target) in numbered
    }
    if not left:
        return {}
    taken = {target for target, _ in known.values()}
    free = [target for target in everyone if target not in taken]
    pairs = match_by_settings(blocks, list(left.values()), free, meanings)
    return {
        r: (target, "settings") for r, target in pairs.items()
        if agreeing(blocks, target, left[r].table, left[r].entry, meanings)
        > agreeing(blocks, known[r][0], left[r].table, left[r].entry, meanings)
    }  # fmt: skip


def _by_spelling(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], left: Sequence[int]
) -> Found:
    """Find devices whose serial number or tag differs from the row's only in how it is written."""
    by_serial = unique_index([(spelling(blocks[b].serials[i]), (b, i)) for b, i in everyone])
    by_tag = unique_index([(spelling(blocks[b].tags[i]), (b, i)) for b, i in everyone])
    found: Found = {}
    for r in left:
        target = by_serial.get(spelling(rows[r].serial)) or by_tag.get(spelling(rows[r].tag))
        if target:
            found[r] = (target, "spelling")
    return found


def _by_address(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found, meanings: Meanings
) -> Found:
    """Find devices by network and planned address.

    A row that gives another tag or serial number counts only where nobody else has been found at that
    address, and only one such row; a row that gives neither may be a further reading.
    """
    planned: list[tuple[str, Target]] = []
    settings = {}
    for b, i in everyone:
        for setting in blocks[b].settings("address"):
            settings[setting.name] = setting
            content = blocks[b].value("planned", setting.name, i).content
            if content is not None:
                planned.append((f"{blocks[b].networks[i]}\n{content}", (b, i)))
    index = unique_index(planned)
    networks = {blocks[b].networks[i] for b, i in everyone}
    only = next(iter(networks)) if len(networks) == 1 else ""
    taken = {target for target, _ in known.values()}
    claims: dict[Target, list[int]] = defaultdict(list)
    for r, row in enumerate(rows):
        for name, setting in settings.items() if r not in known else ():
            column = row.table.columns.get(name)
            if column is None or column.codes is not None:
                continue
            text = column.texts[row.entry]
            content = meanings.memo(setting, column.style)[text].content
            target = index.get(f"{row.network or only}\n{content}")
            named = row.tag or row.serial
            if target and content is not None and not (named and target in taken):
                claims[target].append(r)
    found: Found = {}
    for target, claimants in claims.items():
        names = {(rows[r].tag, rows[r].serial) for r in claimants}
        nameless_in = [id(rows[r].table) for r in claimants if not (rows[r].tag or rows[r].serial)]
        if len(names) == 1 and len(set(nameless_in)) == len(nameless_in):
            found |= dict.fromkeys(claimants, (target, "address"))
    return found


def _by_the_same_name(rows: Sequence[Row], known: Found) -> Found:
    """Find rows that give the same tag and serial number as a row that was found by its address."""
    of_name = {(rows[r].tag, rows[r].serial): match for r, match in known.items() if match[1] == "address"}
    of_name.pop(("", ""), None)
    return {
        r: of_name[row.tag, row.serial]
        for r, row in enumerate(rows)
        if r not in known and (row.tag, row.serial) in of_name
    }


def _by_date(blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found) -> Found:
    """Find devices of whose tag a spreadsheet made the row's, where that can be no other's.

    `3-4` and `4-3` may become the same date, and a device that was found otherwise is not found again.
    """
    left = [r for r in range(len(rows)) if r not in known and not rows[r].serial and may_be_date(rows[r].tag)]
    taken = {target for target, _ in known.values()}
    free = [(blocks[b].tags[i], (b, i)) for b, i in everyone if left and (b, i) not in taken]
    datelike: dict[tuple[int, ...], dict[Target, str]] = defaultdict(dict)
    for tag, target in free:
        for day in days_like(tag):
            for key in (day, day[1:]):
                datelike[key][target] = tag
    found: Found = {}
    for r in left:
        may_be: dict[Target, str] = {}
        for day in days_read(rows[r].tag):
            for key in (day, day._replace(year=0)) if day.year else (day[1:],):
                may_be |= datelike.get(key, {})
        targets = [target for target, tag in may_be.items() if made_of(rows[r].tag, tag)]
        if len(targets) == 1 and rows[r].network in ("", blocks[targets[0][0]].networks[targets[0][1]]):
            found[r] = (targets[0], "date")
    return found


def _by_settings(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found, meanings: Meanings
) -> Found:
    taken = {target for target, _ in known.values()}
    free = [target for target in everyone if target not in taken]
    left = [
        Left(r, row.table, row.entry, row.network, "" if damaged(row.serial) else row.serial)
        for r, row in enumerate(rows)
        if r not in known
    ]
    pairs = match_by_settings(blocks, left, free, meanings)
    return {r: (target, "settings") for r, target in pairs.items()}
