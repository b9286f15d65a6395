"""Pairing: planned and found values side by side.

Each row is assigned to the device that it is about (identifying.py), and the readings of a device are merged
(merging.py). Devices that are not in the plan are strangers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence, Set
from itertools import chain

from audit.errors import InputProblems, stop_if
from audit.model.identified import Match, Stranger
from audit.model.rows import InOneTable, Rows
from audit.model.site import Block, Site, Target
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value
from audit.pairing.asides import asides_among
from audit.pairing.claiming import Own, by_device, corrected_later
from audit.pairing.identifying import identify, is_another
from audit.pairing.listed_twice import lists_in_order
from audit.pairing.merging import found_columns, times_read
from audit.pairing.planning import planned_blocks
from audit.pairing.readback_rows import Found, Row, rows_as_planned, rows_of
from audit.pairing.stating import as_stated
from audit.pairing.zeros_lost import without_zeros_lost
from audit.reading.gateway_names import gateway_names, network_named
from audit.reading.identifiers import damaged, mistyped, spelling
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings


def pair(plan: LoadedPlan, tables: Sequence[Table], codes_elsewhere: Sequence[Place] = ()) -> Site:
    """Return the site with planned and found values side by side. Raises InputProblems."""
    meanings = Meanings()
    return pair_blocks(planned_blocks(plan, meanings), plan, tables, meanings, codes_elsewhere)


def pair_blocks(
    blocks: Sequence[Block],
    plan: LoadedPlan,
    tables: Sequence[Table],
    meanings: Meanings,
    codes_elsewhere: Sequence[Place] = (),
    known_by: Sequence[Block] | None = None,
) -> Site:
    """Return the site with found values beside the planned ones of the blocks. Raises InputProblems.

    `known_by` are the same blocks with more values, if there are any, by which their rows are identified.
    """
    gateways = {
        block.networks[i]: (b, i)
        for b, block in enumerate(blocks) if block.gateway for i in range(len(block))
    }  # fmt: skip
    names = gateway_names(plan.file.networks)
    rows, loose, matches = _assigned(known_by or blocks, plan, tables, names, meanings)
    rows = [lists_in_order(block, of_block, names, meanings)
            for block, of_block in zip(blocks, rows, strict=True)]  # fmt: skip
    asides = asides_among(loose)
    aside = set(map(id, asides))
    strange = [row for row in loose if id(row) not in aside]
    strangers = _strangers(strange, plan, names, meanings)
    paired = [found_columns(block, of_block, meanings) for block, of_block in zip(blocks, rows, strict=True)]
    _refuse_impossible(paired)
    paired = [without_zeros_lost(as_stated(block)) for block in paired]
    return Site(
        plan=plan.file,
        blocks=paired,
        strangers=strangers,
        asides=[(row.table, row.entry) for row in asides],
        matches=matches,
        readback=bool(tables),
        gateways=gateways,
        clear_codes=[*_clear_codes(tables), *((place, 1) for place in codes_elsewhere)],
    )


def _assigned(
    blocks: Sequence[Block],
    plan: LoadedPlan,
    tables: Sequence[Table],
    names: Mapping[str, str],
    meanings: Meanings,
) -> tuple[list[Sequence[Rows]], Sequence[Row], list[Match]]:
    """Return the rows of each device of each block, the rows of no planned device, and the telling matches.

    What this needs, which is most of the memory, is freed when it returns, before columns are made.
    """
    times = times_read(tables)
    places = rows_as_planned(blocks, tables)
    if places is not None:
        several = (of_block for of_block in places if not isinstance(of_block, InOneTable))
        for of_one in chain.from_iterable(several):
            if len(of_one) > 1:
                of_one.sort(key=lambda place: times[place[0].texts("read_at")[place[1]]])
        return places, [], []
    rows = [row for table in tables for row in rows_of(table)]
    found = identify(blocks, rows, names, meanings)
    _check_same_site(rows, found, plan)
    known = {serial for block in blocks for serial in block.serials}
    of_device, loose = by_device(blocks, rows, found, times, known)
    places = [
        [[(row.table, row.entry) for row, _ in of_device.get((b, i), ())] for i in range(len(block))]
        for b, block in enumerate(blocks)
    ]
    return places, loose, _matches(blocks, of_device, known)


def _check_same_site(rows: Sequence[Row], found: Found, plan: LoadedPlan) -> None:
    """Refuse a readback with no device that is in the plan: it must be another site's."""
    named = [row for row in rows if row.tag or row.serial] if not found else []
    if named:
        first = named[0].table.place(named[0].entry, "tag" if named[0].tag else "serial")
        devices = len({(row.tag, row.serial) for row in rows})
        subject = f"none of the {devices} devices read is" if devices > 1 else "the device read is not"
        message = f"{subject} known at {plan.file.site.name!r}"
        raise InputProblems(
            [first.problem(message, "give the readback of this site, or the plan or baseline it belongs to")]
        )


def _strangers(
    loose: Sequence[Row], plan: LoadedPlan, gateways: Mapping[str, str], meanings: Meanings
) -> list[Stranger]:
    strangers = []
    for (tag, serial, _), rows in _rows_of_strangers(loose).items():
        found: dict[str, Value] = {}
        for row in rows:
            for name, column in row.table.columns.items():
                setting = plan.words.settings.get(name)
                value = meanings.value(column, setting, row.entry) if setting else BLANK
                if value is not BLANK:
                    found[name] = value
        network = next((row.network for row in rows if row.network), "") or _listed_at(found, plan, gateways)
        places = tuple((row.table, row.entry) for row in rows)
        strangers.append(Stranger(tag, serial, network, places, found))
    return strangers


def _rows_of_strangers(loose: Sequence[Row]) -> dict[tuple[str, str, object], list[Row]]:
    """Return tag and serial number of each device outside the plan → its rows.

    A row with neither is a device of its own. A row with one of the two, as in a gateway's list, belongs to
    the device of which other rows give both, if there is only one. A tag may be used again in another
    network.
    """
    tags: dict[str, set[str]] = defaultdict(set)
    serials: dict[str, set[str]] = defaultdict(set)
    networks: dict[str, set[str]] = defaultdict(set)
    for row in loose:
        if row.tag and row.serial and not damaged(row.serial):
            tags[row.serial].add(row.tag)
            serials[row.tag].add(row.serial)
            networks[row.tag].add(spelling(row.network))
    groups: dict[tuple[str, str, object], list[Row]] = defaultdict(list)
    for row in loose:
        alone = None if row.tag or row.serial else (id(row.table), row.entry)
        tag = row.tag or _only(tags.get(row.serial, ()))
        elsewhere = row.network and not networks[row.tag] & {"", spelling(row.network)}
        serial = row.serial or ("" if elsewhere else _only(serials.get(row.tag, ())))
        groups[tag, serial, alone].append(row)
    return groups


def _only(names: Collection[str]) -> str:
    """Return the only name; empty where there is none, or several."""
    return next(iter(names)) if len(names) == 1 else ""


def _listed_at(found: Mapping[str, Value], plan: LoadedPlan, gateways: Mapping[str, str]) -> str:
    """Return the network of the gateway whose list a device is in; empty where none is known."""
    listed = (
        str(value.content) for name, value in found.items()
        if plan.words.settings[name].role == "joined_gateway"
    )  # fmt: skip
    return network_named(listed, gateways)


def _matches(
    blocks: Sequence[Block], of_device: Mapping[Target, Sequence[Own]], known: Set[str]
) -> list[Match]:
    """Return the matches with a tag or serial number other than planned, each once for a device."""
    matches: dict[tuple[int, int, str, str], Match] = {}
    lost_in_plan = [{serial for serial in block.serials if damaged(serial)} for block in blocks]
    telling = [
        (b, i) for (b, i), rows in of_device.items()
        if not _as_planned(blocks[b], i, rows) or blocks[b].serials[i] in lost_in_plan[b]
    ]  # fmt: skip
    for b, i in sorted(telling):
        tag, serial = blocks[b].tags[i], blocks[b].serials[i]
        for row, how in of_device[b, i]:
            other_tag = row.tag if row.tag != tag else ""
            other_serial = row.serial if serial and row.serial != serial else ""
            lost = damaged(row.serial)
            if not (other_tag or other_serial or lost or how == "settings"):
                continue
            own = of_device[b, i]
            slip = other_serial and (mistyped(other_serial, serial) or other_serial in known)
            corrected = slip and corrected_later(own, "serial", other_serial, serial)
            retagged = is_another(other_tag, tag) and how == "serial" and not lost
            if retagged:
                corrected = corrected_later(own, "tag", other_tag, tag)
            by_tag = not (other_serial or lost) or (retagged and corrected)
            place = row.table.place(row.entry, "tag" if by_tag else "serial")
            match = Match(b, i, "corrected" if corrected else how, row.tag, row.serial, place)
            matches.setdefault((b, i, other_tag, other_serial), match)
    return list(matches.values())


def _as_planned(block: Block, i: int, rows: Sequence[Own]) -> bool:
    """Tell whether all rows of a device give the planned tag and serial number."""
    tag, serial = block.tags[i], block.serials[i]
    return all(row.tag == tag and row.serial == serial and how != "settings" for row, how in rows)


def _refuse_impossible(blocks: Sequence[Block]) -> None:
    """Refuse numbers that no device can hold: the file is at fault, not the device."""
    problems = []
    for block in blocks:
        for name, values in block.found.items():
            bad = {value for value in values.among if value.state == "impossible"}
            for i in [i for i, value in enumerate(values) if value in bad] if bad else ():
                place = block.found_place(i, name)
                message = f"{name} of {block.tags[i]}: {values[i].note}"
                problems.append(place.problem(message, "read it again at the device, or correct the export"))
    stop_if(problems)


def _clear_codes(tables: Sequence[Table]) -> list[tuple[Place, int]]:
    found = []
    for table in tables:
        for name, column in table.columns.items():
            entries = [e for e, text in enumerate(column.texts) if text] if column.codes else []
            if entries:
                found.append((table.place(entries[0], name), len(entries)))
    return found
