"""Identifying: which planned device each row of the readback is about.

By serial number, then by tag (where these name two devices, perhaps by a number in another spelling:
disputed.py), then by either in another spelling, then by the address of the row above, by network and
address, and by the date that a spreadsheet makes of a tag; the remaining rows are matched by the most
settings in common (matching.py).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import repeat

from audit.model.identified import Match
from audit.model.site import Block, Target
from audit.pairing.by_address import by_address, by_row_above
from audit.pairing.by_other_signs import (
    by_date,
    by_settings,
    by_spelling,
    by_the_same_name,
    spelled_serials,
)
from audit.pairing.disputed import Disputed, settled
from audit.pairing.matching import agreeing, match_by_settings
from audit.pairing.readback_rows import Found, Row, unique_index
from audit.reading.dates import made_of
from audit.reading.identifiers import spelling
from audit.reading.meanings import Meanings


def identify(
    blocks: Sequence[Block], rows: Sequence[Row], gateways: Mapping[str, str], meanings: Meanings
) -> Found:
    """Return the device of each row that can be identified; all other rows belong to strangers.

    `gateways` maps the names that gateways may have to their networks.
    """
    everyone = [target for b, block in enumerate(blocks) for target in zip(repeat(b), range(len(block)))]
    found = _by_serial_or_tag(blocks, everyone, rows, meanings)
    found |= _tagged_as_another(blocks, everyone, rows, found, meanings)
    if len(found) < len(rows):
        left = [r for r in range(len(rows)) if r not in found]
        found |= by_spelling(blocks, everyone, rows, left)
        found |= by_row_above(blocks, rows, found)
        found |= by_address(blocks, rows, found, gateways, meanings)
        found |= by_the_same_name(rows, found)
        found |= by_date(blocks, everyone, rows, found)
        found |= by_settings(blocks, everyone, rows, found, meanings)
    return found


def is_another(found: str, planned: str) -> bool:
    """Tell whether an identifier names another device, and is not only respelled or turned into a date.

    False where one of the two is not known.
    """
    known = bool(found and planned)
    return known and spelling(found) != spelling(planned) and not made_of(found, planned)


def swapped(blocks: Sequence[Block], matches: Sequence[Match]) -> dict[Target, tuple[Match, Match]]:
    """Return device → its match and its partner's, for pairs of devices found under each other's tag.

    Both devices of a pair were matched by serial number, or both by tag.
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


def _by_serial_or_tag(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], meanings: Meanings
) -> Found:
    serials = [serial for block in blocks for serial in block.serials]
    by_serial = unique_index(list(zip(serials, everyone, strict=True)))
    unknown = {row.serial for row in rows if row.serial and row.serial not in by_serial}
    spelled = spelled_serials(serials, everyone, unknown)
    meant = {text: blocks[b].serials[i] for text, (b, i) in spelled.items()}
    numbers = [meant.get(row.serial, row.serial) for row in rows]
    tags_of = _tags_of_serials(numbers, rows)
    found: Found = {}
    disputed: dict[int, Disputed] = {}
    for r, (row, tagged) in enumerate(zip(rows, _by_tags(blocks, everyone, rows), strict=True)):
        numbered = by_serial.get(row.serial)
        named = numbered or spelled.get(row.serial)
        if named and tagged and named != tagged:
            shared = len(tags_of[numbers[r]]) > 1
            b, i = tagged
            tag_read_right = row.tag in tags_of[blocks[b].serials[i]]
            disputed[r] = Disputed(row, tagged, named, shared, tag_read_right)
        elif target := numbered or tagged:
            found[r] = (target, "serial" if numbered else "tag")
    if not disputed:
        return found
    decided = settled(blocks, disputed, meanings)
    by_tag_after_all = {numbers[r]: one for r, one in decided.items()
                        if one[1] == "tag" and not disputed[r].shared}  # fmt: skip
    for r, row in enumerate(rows):
        if not row.tag and numbers[r] in by_tag_after_all:
            found[r] = by_tag_after_all[numbers[r]]
    return found | decided


def _by_tags(blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row]) -> list[Target | None]:
    """Return the device planned under each row's tag, in the row's network if several have that tag."""
    tags = [tag for block in blocks for tag in block.tags]
    by_tag = unique_index(list(zip(tags, everyone, strict=True)))
    if len(by_tag) == len(everyone):
        return [by_tag.get(row.tag) for row in rows]
    networks = [network for block in blocks for network in block.networks]
    there = [(f"{network}\n{tag}", its) for network, tag, its in zip(networks, tags, everyone, strict=True)]
    by_tag_there = unique_index(there)
    return [by_tag.get(row.tag) or by_tag_there.get(f"{row.network}\n{row.tag}") for row in rows]


def _tags_of_serials(numbers: Sequence[str], rows: Sequence[Row]) -> defaultdict[str, set[str]]:
    """Return serial number → the tags that rows give with it, if any number occurs in several rows."""
    tags_of: defaultdict[str, set[str]] = defaultdict(set)
    for number, row in zip(numbers, rows, strict=True) if len(set(numbers)) < len(rows) else ():
        if row.tag:  # a gateway's list, for instance, gives none
            tags_of[number].add(row.tag)
    return tags_of


def _tagged_as_another(
    blocks: Sequence[Block], everyone: Sequence[Target], rows: Sequence[Row], known: Found, meanings: Meanings
) -> Found:
    """Find unread devices for rows with a tag alone, whose device has its serial number in another row.

    Only where more of a row's settings are as planned for the unread device than for the one with its tag.
    """
    numbered = {(id(rows[r].table), target) for r, (target, how) in known.items() if how == "serial"}
    left = {
        r: rows[r]
        for r, (target, how) in known.items()
        if how == "tag" and not rows[r].serial and (id(rows[r].table), target) in numbered
    }
    if not left:
        return {}
    taken = {target for target, _ in known.values()}
    free = [target for target in everyone if target not in taken]
    pairs = match_by_settings(blocks, left, free, meanings)
    return {
        r: (target, "settings") for r, target in pairs.items()
        if agreeing(blocks, target, rows[r], meanings) > agreeing(blocks, known[r][0], rows[r], meanings)
    }  # fmt: skip
