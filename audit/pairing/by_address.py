"""Devices of rows without a known name, by their address: the one of the row above, or the planned one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise

from audit.columns import where
from audit.model.device import Setting
from audit.model.site import Block, Target
from audit.model.value import Content
from audit.pairing.readback_rows import Found, Row, unique_index
from audit.reading.gateway_names import network_named
from audit.reading.meanings import Meanings


def by_row_above(blocks: Sequence[Block], rows: Sequence[Row], known: Found) -> Found:
    """Find devices of rows without names that repeat the address above: further rows of the same device."""
    names = _settings(blocks, "address").keys()
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
    shown = _addresses_shown(blocks, rows, known, gateways, meanings)
    planned = _planned_at(blocks, {content for _, _, content in shown})
    there = unique_index(planned)
    on_site = unique_index([(key.partition("\n")[2], target) for key, target in planned])
    joined = _settings(blocks, "joined_gateway").keys()
    taken = {target for target, _ in known.values()}
    claims: dict[Target, list[int]] = defaultdict(list)
    for r, network, content in shown:
        named = bool(rows[r].tag or rows[r].serial)
        says_more = network or named or joined & rows[r].table.columns.keys()
        target = there.get(f"{network}\n{content}") if says_more else on_site.get(str(content))
        further = says_more and not named  # a further reading of a device that may be known already
        if target and (further or target not in taken):
            claims[target].append(r)
    return {
        r: (target, "address")
        for target, claimants in claims.items()
        if _of_one_device([rows[r] for r in claimants])
        for r in claimants
    }


def _of_one_device(rows: Sequence[Row]) -> bool:
    """Tell whether rows at one address may be of one device: with one name, or one in each file with none."""
    nameless = [id(row.table) for row in rows if not (row.tag or row.serial)]
    return len({(row.tag, row.serial) for row in rows}) == 1 and len(set(nameless)) == len(nameless)


def _settings(blocks: Sequence[Block], role: str) -> dict[str, Setting]:
    """Return name → setting, for those of all blocks that have a role."""
    return {setting.name: setting for block in blocks for setting in block.settings(role)}


def _addresses_shown(
    blocks: Sequence[Block], rows: Sequence[Row], known: Found, gateways: Mapping[str, str],
    meanings: Meanings,
) -> list[tuple[int, str, Content]]:  # fmt: skip
    """Return row, network and address, for each address in the rows whose devices are not known.

    The network is that of the row, or of the gateway that it names, or the only one of the plan. One that is
    not planned is that whose gateway was read under it: the network was renamed.
    """
    settings, joined = _settings(blocks, "address"), _settings(blocks, "joined_gateway")
    networks = {network for block in blocks for network in block.networks}
    only = next(iter(networks)) if len(networks) == 1 else ""
    renamed = _renamed(blocks, rows, known, networks)
    shown: list[tuple[int, str, Content]] = []
    for r, row in enumerate(rows):
        for name, setting in settings.items() if r not in known else ():
            column = row.table.columns.get(name)
            if column is None or column.codes is not None:
                continue
            address = meanings.value(column, setting, row.entry).content
            if address is not None:
                network = renamed.get(row.network, row.network)
                shown.append((r, network or _listed_at(row, joined, gateways) or only, address))
    return shown


def _renamed(
    blocks: Sequence[Block], rows: Sequence[Row], known: Found, networks: Collection[str]
) -> dict[str, str]:
    """Return name of a network that is not planned → the planned one whose gateway alone is read under it."""
    read = {
        (rows[r].network, blocks[b].networks[i])
        for r, ((b, i), _) in known.items()
        if blocks[b].gateway and rows[r].network not in networks
    }
    return unique_index(sorted(read))


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
