"""Pairing: which found device is which planned one.

By serial number, then by tag, then by either in another spelling, then by network and address; what
is left is matched by the most settings in common, as an assignment problem. Devices that match nothing
are strangers.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.errors import InputProblems
from audit.matching import match_by_settings
from audit.merging import found_columns, in_order_of_time
from audit.model.site import Block, Match, Site, Stranger
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value
from audit.planning import planned_blocks
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.values import bare, damaged, spelling

Target = tuple[int, int]
"""Block and index of a planned device."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of the readback, with what says which device it is."""

    table: Table
    entry: int
    tag: str
    serial: str
    network: str


def pair(plan: LoadedPlan, tables: Sequence[Table]) -> Site:
    """Return the site with planned and found values side by side. Raises InputProblems."""
    meanings = Meanings()
    blocks = planned_blocks(plan, meanings)
    gateways = {
        block.networks[i]: (b, i)
        for b, block in enumerate(blocks) if block.gateway for i in range(len(block))
    }  # fmt: skip
    rows = [row for table in tables for row in _rows(table)]
    pairs, how = _pairs(blocks, rows, meanings)
    _check_same_site(rows, pairs, plan)
    of_device, loose = _by_device(blocks, rows, pairs)
    in_order_of_time(of_device)
    paired = [
        found_columns(block, [of_device.get((b, i), []) for i in range(len(block))], meanings)
        for b, block in enumerate(blocks)
    ]
    _refuse_impossible(paired)
    return Site(
        plan=plan.file,
        plan_name=plan.name,
        blocks=paired,
        strangers=_strangers(loose, plan, meanings),
        matches=_matches(blocks, rows, pairs, how),
        readback=bool(tables),
        gateways=gateways,
        clear_codes=_clear_codes(tables),
    )


def _rows(table: Table) -> list[Row]:
    tags = list(map(bare, table.texts("tag")))
    serials = list(map(bare, table.texts("serial")))
    networks = list(map(bare, table.texts("network")))
    return [
        Row(table, e, tag, serial, network)
        for e, (tag, serial, network) in enumerate(zip(tags, serials, networks, strict=True))
    ]


def _unique_index(keys: Sequence[tuple[str, Target]]) -> dict[str, Target]:
    """Return key → target for the keys that name a single one."""
    count = Counter(key for key, _ in keys)
    return {key: target for key, target in keys if key and count[key] == 1}


def _pairs(
    blocks: Sequence[Block], rows: Sequence[Row], meanings: Meanings
) -> tuple[dict[int, Target], dict[int, str]]:
    """Return row → planned device, and row → how it was matched."""
    everyone = [(b, i) for b, block in enumerate(blocks) for i in range(len(block))]
    by_serial = _unique_index([(blocks[b].serials[i], (b, i)) for b, i in everyone])
    by_tag = _unique_index([(blocks[b].tags[i], (b, i)) for b, i in everyone])
    by_tag_there = _unique_index(
        [(f"{blocks[b].networks[i]}\n{blocks[b].tags[i]}", (b, i)) for b, i in everyone]
    )
    tags_of_serial: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        tags_of_serial[row.serial].add(row.tag)
    pairs: dict[int, Target] = {}
    how: dict[int, str] = {}
    for r, row in enumerate(rows):
        tagged = by_tag.get(row.tag) or by_tag_there.get(f"{row.network}\n{row.tag}")
        numbered = by_serial.get(row.serial)
        if numbered and tagged and numbered != tagged and len(tags_of_serial[row.serial]) > 1:
            numbered = None  # one serial number written beside several tags names none of them
        if target := numbered or tagged:
            pairs[r], how[r] = target, "serial" if numbered else "tag"
    taken = set(pairs.values())
    left = [(r, row) for r, row in enumerate(rows) if r not in pairs]
    free = [target for target in everyone if target not in taken] if left else []
    _by_spelling(blocks, left, free, pairs, how)
    taken = set(pairs.values())
    left = [(r, row) for r, row in left if r not in pairs]
    free = [target for target in free if target not in taken]
    _by_address(blocks, left, free, pairs, how, meanings)
    taken = set(pairs.values())
    left = [(r, row) for r, row in left if r not in pairs]
    free = [target for target in free if target not in taken]
    for r, target in match_by_settings(
        blocks, [(r, row.table, row.entry, row.network) for r, row in left], free, meanings
    ).items():
        pairs[r], how[r] = target, "settings"
    return pairs, how


def _by_spelling(
    blocks: Sequence[Block],
    left: Sequence[tuple[int, Row]],
    free: Sequence[Target],
    pairs: dict[int, Target],
    how: dict[int, str],
) -> None:
    """Match rows whose serial number or tag differs from a planned one only in how it is written."""
    by_serial = _unique_index([(spelling(blocks[b].serials[i]), (b, i)) for b, i in free])
    by_tag = _unique_index([(spelling(blocks[b].tags[i]), (b, i)) for b, i in free])
    for r, row in left:
        target = by_serial.get(spelling(row.serial)) or by_tag.get(spelling(row.tag))
        if target:
            pairs[r], how[r] = target, "spelling"


def _by_address(
    blocks: Sequence[Block],
    left: Sequence[tuple[int, Row]],
    free: Sequence[Target],
    pairs: dict[int, Target],
    how: dict[int, str],
    meanings: Meanings,
) -> None:
    """Match rows to devices of their network that nobody else has, by the planned address."""
    planned: list[tuple[str, Target]] = []
    names = {}
    for b, i in free:
        for setting in blocks[b].settings("address"):
            names[setting.name] = setting
            content = blocks[b].value("planned", setting.name, i).content
            if content is not None:
                planned.append((f"{blocks[b].networks[i]}\n{content}", (b, i)))
    index = _unique_index(planned)
    only = {blocks[b].networks[i] for b, i in free}
    claims: dict[Target, list[int]] = defaultdict(list)
    for r, row in left:
        network = row.network or (next(iter(only)) if len(only) == 1 else "")
        for name, setting in names.items():
            column = row.table.columns.get(name)
            if column is None or column.codes is not None:
                continue
            text = column.texts[row.entry]
            content = meanings.memo([text], setting, column.style)[text].content
            target = index.get(f"{network}\n{content}")
            if target and content is not None:
                claims[target].append(r)
    for target, claimants in claims.items():
        if len(claimants) == 1:
            pairs[claimants[0]], how[claimants[0]] = target, "address"


def _check_same_site(rows: Sequence[Row], pairs: dict[int, Target], plan: LoadedPlan) -> None:
    """Refuse a readback of which no device is in the plan: it is surely another site's."""
    named = [row for row in rows if row.tag or row.serial]
    if rows and named and not pairs:
        first = named[0].table.place(named[0].entry, "tag" if named[0].tag else "serial")
        message = f"none of the {len(rows)} devices read is in the plan of {plan.file.site.name!r}"
        raise InputProblems([first.problem(message, "give the readback of this site, or its plan")])


def _by_device(
    blocks: Sequence[Block], rows: Sequence[Row], pairs: dict[int, Target]
) -> tuple[dict[Target, list[tuple[Table, int]]], list[Row]]:
    """Return device → its rows, and the rows that belong to no planned device.

    Where rows with different serial numbers claim one device, those of the planned serial number
    are its own, or else those of the last one read; the others are strangers.
    """
    claims: dict[Target, list[Row]] = defaultdict(list)
    loose = [row for r, row in enumerate(rows) if r not in pairs]
    for r, target in pairs.items():
        claims[target].append(rows[r])
    of_device: dict[Target, list[tuple[Table, int]]] = {}
    for (b, i), claimants in claims.items():
        serials = {row.serial for row in claimants if row.serial and not damaged(row.serial)}
        if len(serials) > 1:
            planned = blocks[b].serials[i]
            own = planned if planned in serials else [row.serial for row in claimants if row.serial][-1]
            loose.extend(row for row in claimants if row.serial not in (own, ""))
        else:
            own = ""
        of_device[b, i] = [(row.table, row.entry) for row in claimants if not own or row.serial in (own, "")]
    return of_device, loose


def _strangers(loose: Sequence[Row], plan: LoadedPlan, meanings: Meanings) -> list[Stranger]:
    groups: dict[tuple[str, str, object], list[Row]] = defaultdict(list)
    for row in loose:
        alone = None if row.tag or row.serial else (id(row.table), row.entry)
        groups[row.tag, row.serial, alone].append(row)
    strangers = []
    for (tag, serial, _), rows in groups.items():
        found: dict[str, Value] = {}
        for row in rows:
            for name, column in row.table.columns.items():
                setting = plan.words.settings.get(name)
                if setting and column.texts[row.entry].strip():
                    one = replace(column, texts=[column.texts[row.entry]])
                    value = meanings.column(one, setting)[0]
                    found |= {name: value} if value is not BLANK else {}
        network = next((row.network for row in rows if row.network), "")
        places = tuple((row.table, row.entry) for row in rows)
        strangers.append(Stranger(tag, serial, network, places, found))
    return strangers


def _matches(
    blocks: Sequence[Block], rows: Sequence[Row], pairs: dict[int, Target], how: dict[int, str]
) -> list[Match]:
    """Return the matches worth looking at: tag or serial other than planned, or no tag and serial."""
    matches = []
    for r, (b, i) in sorted(pairs.items()):
        row = rows[r]
        planned_serial = blocks[b].serials[i]
        other_serial = row.serial and planned_serial and row.serial != planned_serial
        other_tag = row.tag and row.tag != blocks[b].tags[i]
        if other_serial or other_tag or how[r] == "settings" or damaged(row.serial):
            name = "serial" if other_serial or damaged(row.serial) else "tag"
            place = row.table.place(row.entry, name)
            matches.append(Match(b, i, how[r], row.tag, row.serial, place))
    return matches


def _refuse_impossible(blocks: Sequence[Block]) -> None:
    """Stop at numbers that no device can hold: the file is at fault, not the device."""
    problems = []
    for block in blocks:
        for name, values in block.found.items():
            bad = {value for value in set(values) if value.state == "impossible"}
            for i in [i for i, value in enumerate(values) if value in bad] if bad else ():
                place = block.found_place(i, name)
                message = f"{name} of {block.tags[i]}: {values[i].note}"
                problems.append(place.problem(message, "read it again at the device, or correct the export"))
    if problems:
        raise InputProblems(problems)


def _clear_codes(tables: Sequence[Table]) -> list[tuple[Place, int]]:
    found = []
    for table in tables:
        for name, column in table.columns.items():
            entries = [e for e, text in enumerate(column.texts) if text] if column.codes else []
            if entries:
                found.append((table.place(entries[0], name), len(entries)))
    return found
