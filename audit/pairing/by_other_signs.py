"""Devices of rows that neither serial number nor tag identifies, by whatever else the rows say."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from itertools import compress, pairwise

from audit.columns import where
from audit.model.site import Block, Target
from audit.model.value import Content
from audit.pairing.matching import Left, match_by_settings
from audit.pairing.readback_rows import Found, Row, unique_index
from audit.reading.dates import days_like, days_read, made_of, may_be_date
from audit.reading.gateway_names import network_named
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


def by_row_above(blocks: Sequence[Block], rows: Sequence[Row], known: Found) -> Found:
    """Find devices of rows without names that repeat the address above: further rows of the same device."""
    names = {setting.name for block in blocks for setting in block.settings("address")}
    found: Found = {}
    for r, (above, row) in enumerate(pairwise(rows), 1):
        match = known.get(r - 1) or found.get(r - 1)
        if (match and r not in known and not (row.tag or row.serial) and above.table is row.table
                and row.network in ("", above.network) and not _at_odds(above, row)):  # fmt: skip
            texts = [row.table.texts(name) for name in names & row.table.columns.keys()]
            if any(of[row.entry].strip() and of[row.entry] == of[above.entry] for of in texts):
                found[r] = (match[0], "address")
    return found


FIELDS_OF_A_READING = ("read_at", "read_by", "read_how", "note")
"""Fields that may differ between the rows of one device."""


def _at_odds(above: Row, row: Row) -> bool:
    """Tell whether two rows have different texts in a column: then they are about two devices."""
    return any(
        len({text for r in (above, row) if not column.style.is_blank(text := column.texts[r.entry])}) > 1
        for name, column in row.table.columns.items()
        if name not in FIELDS_OF_A_READING
    )


def by_address(
    blocks: Sequence[Block], rows: Sequence[Row], known: Found, gateways: Mapping[str, str],
    meanings: Meanings,
) -> Found:  # fmt: skip
    """Find devices by network and planned address, or by the address alone where a row gives nothing else.

    A row with another tag or serial number counts only if nothing else was found at that address, and only
    one such row; a row with neither may be a further reading. `gateways` maps the names that gateways may
    have to their networks.
    """
    settings = {setting.name: setting for block in blocks for setting in block.settings("address")}
    networks = {network for block in blocks for network in block.networks}
    only = next(iter(networks)) if len(networks) == 1 else ""
    joined = {setting.name for block in blocks for setting in block.settings("joined_gateway")}
    shown: list[tuple[int, str, Content]] = []
    for r in [r for r in range(len(rows)) if r not in known]:
        for name, setting in settings.items():
            column = rows[r].table.columns.get(name)
            if column is not None and column.codes is None:
                value = meanings.memo(setting, column.style)[column.texts[rows[r].entry]]
                if value.content is not None:
                    network = rows[r].network or _listed_at(rows[r], joined, gateways) or only
                    shown.append((r, network, value.content))
    planned = _planned_at(blocks, {content for _, _, content in shown})
    index = unique_index(planned)
    on_site = unique_index([(key.partition("\n")[2], target) for key, target in planned])
    taken = {target for target, _ in known.values()}
    claims: dict[Target, list[int]] = defaultdict(list)
    for r, network, content in shown:
        says_more = network or rows[r].tag or rows[r].serial or joined & rows[r].table.columns.keys()
        target = index.get(f"{network}\n{content}") if says_more else on_site.get(str(content))
        if target and not ((rows[r].tag or rows[r].serial or not says_more) and target in taken):
            claims[target].append(r)
    found: Found = {}
    for target, claimants in claims.items():
        names = {(rows[r].tag, rows[r].serial) for r in claimants}
        nameless_in = [id(rows[r].table) for r in claimants if not (rows[r].tag or rows[r].serial)]
        if len(names) == 1 and len(set(nameless_in)) == len(nameless_in):
            found |= dict.fromkeys(claimants, (target, "address"))
    return found


def _listed_at(row: Row, joined: Collection[str], gateways: Mapping[str, str]) -> str:
    """Return the network of the gateway that a row of a list names; empty where none is known."""
    texts = (row.table.texts(name)[row.entry] for name in row.table.columns if name in joined)
    return network_named(texts, gateways)


def _planned_at(blocks: Sequence[Block], addresses: Collection[Content]) -> list[tuple[str, Target]]:
    """Return pairs of network with address, and device, for all planned with one of the addresses."""
    return [
        (f"{block.networks[i]}\n{values[i].content}", (b, i))
        for b, block in enumerate(blocks)
        for setting in block.settings("address")
        for values in [block.values("planned", setting.name)]
        for i in where((values,), lambda value: value.content in addresses)
    ]


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
    left = [
        Left(r, row.table, row.entry, row.network, "" if damaged(row.serial) else row.serial)
        for r, row in enumerate(rows)
        if r not in known
    ]
    pairs = match_by_settings(blocks, left, free, meanings)
    return {r: (target, "settings") for r, target in pairs.items()}
