"""Outcomes of records about whole devices: exchanged, moved, renamed, added, removed."""

from __future__ import annotations

from collections.abc import Sequence

from audit.drifting.records import FIELDS, Records
from audit.model.drift import DeviceDrift, ReadChange, RecordOutcome, RecordState
from audit.model.finding import OF_NO_DEVICE
from audit.model.site import Block, Target
from audit.reading.identifiers import spelling
from audit.reading.moments import day_of
from audit.texts import field_of

NOUNS = {"exchange": "serial number", "move": "network", "retag": "tag"}
"""Kind of change → what it changes, in words."""


def of_device(records: Records, read: ReadChange, explained: Sequence[DeviceDrift]) -> RecordOutcome:
    """Return what became of a record about a whole device, given the drift that it explains."""
    change = read.change
    targets = records.baseline.named(read.node, read.network)
    b, i = targets[0] if targets else OF_NO_DEVICE
    block = records.site.blocks[b] if targets else None
    network = block.networks[i] if block else change.network
    tags = tuple(dict.fromkeys(drift.tag for drift in explained)) or ((change.node,) if change.node else ())
    state, words = _state(records, read, (b, i), explained)
    return RecordOutcome(read, state, tags, network, f"{read.words()}, {words}", (b, i))


def _state(
    records: Records, read: ReadChange, target: Target, explained: Sequence[DeviceDrift]
) -> tuple[RecordState, str]:
    """Return what became of a record, and a message with what it says and what was found."""
    change, (b, i) = read.change, target
    site = records.site
    block = site.blocks[b] if b < len(site.blocks) else None
    chain = records.of_device(change.what, target) if block and change.what in FIELDS else []
    if any(one is read for one in chain):
        return _in_chain(records, chain, read, target, explained=bool(explained))
    if explained:
        return "borne out", f"is borne out by {', '.join(dict.fromkeys(drift.tag for drift in explained))}"
    if change.date < (records.baseline.sealed_on(b, i) if block else records.baseline.content.sealed_on):
        return "before the baseline", "was made before the baseline was sealed"
    if block and records.is_in_baseline(read, b, i):
        return "before the baseline", "was already made when the baseline was sealed"
    older = evidence(block, i, read) if block and block.rows[i] else ""
    if older:
        return "older evidence", older
    known = block or (not read.node and read.network in site.gateways)
    if not known and change.what != "added":
        return "not borne out", f"is about {_about(read)}, which is not in the baseline"
    return "not borne out", f"says that {_says(read)}; nothing that was found bears it out"


def _in_chain(
    records: Records, chain: Sequence[ReadChange], read: ReadChange, target: Target, *, explained: bool
) -> tuple[RecordState, str]:
    """Return what became of one of several records that follow each other at one device."""
    what, (b, i) = read.change.what, target
    k = next(n for n, one in enumerate(chain) if one is read)
    block = records.site.blocks[b]
    before = [chain[k - 1].after] if k else records.baseline.names(b, i, FIELDS[what])
    found = field_of(block, i, FIELDS[what])

    def same(one: str, other: str) -> bool:
        if what == "move":
            return bool(one and other) and records.baseline.are_one_network(one, other)
        return bool(one and other) and spelling(one) == spelling(other)

    if k + 1 < len(chain) and not explained:
        return "superseded", f"was followed by change {chain[k + 1].change.id}"
    was_in = [*records.baseline.names(b, i, FIELDS[what]), *(one.after for one in chain[:k])]
    left = next(
        (one for one in reversed(was_in) if not same(one, read.after)), ""
    )  # a record may be repeated
    by_radio = what == "move" and not found and records.radios.show(target, read.after, left)
    if not explained and not by_radio and not same(found, read.after):
        wrong_way = same(found, read.before) and any(same(one, read.after) for one in before)
        hint = f"; {found} was found: perhaps its from and to are the wrong way round" if wrong_way else ""
        return "not borne out", f"says that {_says(read)}{hint or '; nothing that was found bears it out'}"
    if read.before and any(before) and not any(same(read.before, one) for one in before):
        has = f"change {chain[k - 1].change.id} made it" if k else "the baseline has"
        return "other before", f"says the {NOUNS[what]} was {read.before}; {has} {before[0]}"
    return "borne out", f"is borne out by {_about(read)}"


def evidence(block: Block, i: int, read: ReadChange) -> str:
    """Return the message where a device was read before a change was made; otherwise empty."""
    day = day_of(field_of(block, i, "read_at"))
    if day is None or day >= read.change.date:
        return ""
    return f"is newer than the reading of {day}, which cannot show it"


def _about(read: ReadChange) -> str:
    """Return what a record is about, in words."""
    return read.node or f"the network {read.network}"


def _says(read: ReadChange) -> str:
    """Return what a record about a device says, in words."""
    change, about = read.change, _about(read)
    return {
        "exchange": f"{about} was exchanged" + (f" for serial {read.after}" if read.after else ""),
        "move": f"{about} was moved to {read.after}",
        "retag": f"{about} was renamed {read.after}",
        "added": f"{about} was added",
        "removed": f"{about} was removed",
    }[change.what]
