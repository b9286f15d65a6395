"""Devices of rows that neither serial number nor tag identifies, by whatever else the rows say."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Sequence
from itertools import compress

from audit.model.site import Block, Target
from audit.pairing.matching import match_by_settings
from audit.pairing.readback_rows import Found, Row, unique_index
from audit.reading.dates import days_like, days_read, made_of, may_be_date
from audit.reading.identifiers import damaged, letters_and_digits, spelling
from audit.reading.meanings import Meanings
from audit.reading.moments import moment

FIRST, LAST = datetime.datetime.min, datetime.datetime.max


def by_spelling(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], left: Sequence[int]
) -> Found:
    """Find devices whose serial number or tag differs from the row's only in how it is written.

    A tag that is used more than once needs the network as well.
    """
    serials = [serial for block in blocks for serial in block.serials]
    tags = [tag for block in blocks for tag in block.tags]
    by_serial = spelled_serials(serials, everyone, {rows[r].serial for r in left})
    tagged = _spelled(tags, everyone, {rows[r].tag for r in left})
    by_tag = unique_index(tagged)
    by_tag_there = unique_index([(f"{blocks[b].networks[i]}\n{tag}", (b, i)) for tag, (b, i) in tagged])
    found: Found = {}
    for r in left:
        tag = spelling(rows[r].tag)
        target = (
            by_serial.get(rows[r].serial) or by_tag.get(tag) or by_tag_there.get(f"{rows[r].network}\n{tag}")
        )
        if target:
            found[r] = (target, "spelling")
    return found


def spelled_serials(
    serials: Sequence[str], everyone: Sequence[Target], texts: Collection[str]
) -> dict[str, Target]:
    """Return text → device, for those texts that are only one serial number in another spelling.

    `serials` are those of all devices, in the order of `everyone`.
    """
    by_serial = unique_index(_spelled(serials, everyone, texts)) if texts else {}
    words = {text: spelling(text) for text in texts}
    return {text: by_serial[word] for text, word in words.items() if word in by_serial}


def _spelled(
    names: Sequence[str], everyone: Sequence[Target], texts: Collection[str]
) -> list[tuple[str, Target]]:
    """Return spelling and device, for those names of all devices that may be spelled like one of the texts.

    Texts of one spelling have the same letters and digits other than zeros, which are faster to compare.
    """
    rough = set(letters_and_digits(list(texts)))
    near = compress(zip(names, everyone, strict=True), map(rough.__contains__, letters_and_digits(names)))
    return [(spelling(name), target) for name, target in near]


def by_the_same_name(rows: Sequence[Row], known: Found) -> Found:
    """Find devices of rows with the same tag and serial number as a row that was identified by its address.

    Also of rows without a tag, as in a gateway's list, whose serial number was read under one tag.
    """
    of_name = {(rows[r].tag, rows[r].serial): match for r, match in known.items() if match[1] == "address"}
    of_name.pop(("", ""), None)
    named = {
        r: of_name[row.tag, row.serial]
        for r, row in enumerate(rows)
        if r not in known and (row.tag, row.serial) in of_name
    }
    return _of_spares(rows, known) | named


def _of_spares(rows: Sequence[Row], known: Found) -> Found:
    """Find devices of rows with only a serial number, if that was read under one tag.

    Not where the serial number planned for that tag is in a row that is as new, or may be.
    """
    under_tag: dict[str, set[tuple[Target, str]]] = defaultdict(set)
    for r, match in known.items():
        if match[1] == "tag" and rows[r].serial and not damaged(rows[r].serial):
            under_tag[rows[r].serial].add(match)
    spares = {serial: next(iter(of_one)) for serial, of_one in under_tag.items() if len(of_one) == 1}
    replaced = {target for target, _ in spares.values()}
    last: dict[Target, datetime.datetime] = {}
    for r, (target, how) in known.items():
        if how == "serial" and target in replaced:
            last[target] = max(_read_at(rows[r], LAST), last.get(target, FIRST))
    found = {}
    for r, row in enumerate(rows):
        if r not in known and not row.tag and row.serial in spares:
            target, how = spares[row.serial]
            if target not in last or last[target] < _read_at(row, FIRST):
                found[r] = (target, how)
    return found


def _read_at(row: Row, without: datetime.datetime) -> datetime.datetime:
    """Return when a row was read; `without` if it does not say."""
    return moment(row.table.texts("read_at")[row.entry]) or without


def by_date(blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found) -> Found:
    """Find devices whose tag a spreadsheet may have turned into the row's date, if there is only one.

    `3-4` and `4-3` may become the same date. A device that was found in another way is not found again.
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


def by_settings(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found, meanings: Meanings
) -> Found:
    """Find devices by the most settings in common, for the remaining rows."""
    taken = {target for target, _ in known.values()}
    free = [target for target in everyone if target not in taken]
    left = {r: row for r, row in enumerate(rows) if r not in known}
    pairs = match_by_settings(blocks, left, free, meanings)
    return {r: (target, "settings") for r, target in pairs.items()}
