"""Devices since a baseline: moved, gone, or newly found."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence

from audit.drifting.known_by_records import NOT_COMPARED, known_by_records
from audit.drifting.sides import Sides
from audit.grouping import grouped
from audit.model.baseline import UNPLANNED, OpenFinding
from audit.model.drift import Case, DeviceDrift
from audit.model.finding import STRANGERS
from audit.model.identified import Stranger
from audit.model.site import Target
from audit.pairing.identifying import is_another
from audit.reading.identifiers import spelling
from audit.texts import field_of


def moved(sides: Sides) -> Iterator[DeviceDrift]:
    """Yield the devices whose rows name another network than the baseline's."""
    are_one = sides.records.baseline.are_one_network

    def elsewhere(text: str, network: str) -> bool:
        return bool(text) and not are_one(text, network)

    for (b, i), text in sides.unlike("network", elsewhere):
        block = sides.site.blocks[b]
        network = block.networks[i]
        explaining = [
            read for read in sides.records.of_device("move", (b, i)) if are_one(read.after, text)
        ] or sides.records.anew((b, i), field_of(block, i, "tag"), block.serials[i], text)
        its_plan = sides.name_planned("networks", (b, i))
        if not explaining and are_one(sides.sealed((b, i)).read_network, text):
            if not are_one(its_plan, text):
                message = (
                    f"is under the network {text}, as it was for the baseline; {network} was planned then"
                )
                yield sides.as_sealed("moved", (b, i), message, text, field="network")
            continue
        message = f"was in the network {network} in the baseline, and is in {text} now"
        yield sides.drift("moved", (b, i), message, before=network, found=text,
                          places=sides.places(block, i, "network"), explaining=explaining,
                          planned=bool(its_plan) and are_one(its_plan, text))  # fmt: skip


def gone_and_come(sides: Sides) -> Iterator[DeviceDrift]:
    """Yield the devices that are in no readback, and those that are not in the baseline.

    One that is there under names that records give is neither gone nor has it come.
    """
    known = known_by_records(sides)
    for b, block in enumerate(sides.site.blocks):
        for i in block.unread():
            yield known[b, i][1] if (b, i) in known else _gone(sides, (b, i))
    yield from _all_come(sides, {id(stranger) for stranger, _ in known.values()})


def _gone(sides: Sides, target: Target) -> DeviceDrift:
    block, i = sides.site.blocks[target[0]], target[1]
    sealed = sides.sealed(target)
    message = "is in the baseline, but in no readback"
    if not sealed.settings:
        message = "was not read for the baseline, and is in no readback now"
    places = [block.planned_place(i, "tag")]
    if target in sides.site.blank:
        message = "is in the readback with no setting filled in"
        places.append(sides.site.blank[target])
    off_plan = sides.aligned is not None and target not in sides.aligned.of
    # a device that was not read then may have been gone already, as the plan now confirms
    since = datetime.date.min if off_plan and not sealed.settings else None
    explaining = sides.records.of_device("removed", target, since)
    drift = sides.drift("gone", target, message, before=block.tags[i],
                       places=tuple(places), explaining=explaining)  # fmt: skip
    if off_plan and drift.case == "drift":
        words = f"{message}; it is no longer in the plan, and no change record says who allowed it"
        return DeviceDrift("gone", "without-record", drift.network, drift.tag, target, words,
                           drift.before, places=drift.places)  # fmt: skip
    return drift


def _all_come(sides: Sides, known: Collection[int]) -> Iterator[DeviceDrift]:
    """Yield the devices that were found but are not in the baseline, without those whose ids are known."""
    planned: set[str] = set()
    if sides.aligned:
        blocks = sides.aligned.plan
        names = [(blocks[p].tags[k], blocks[p].serials[k]) for p, k in sides.aligned.new]
        planned = {spelling(name) for pair in names for name in pair if name}
    sealed_findings = sides.records.baseline.content.findings
    stood = grouped((spelling(one.node), one) for one in sealed_findings if one.rule == UNPLANNED)
    for s, stranger in enumerate(sides.site.strangers):
        if id(stranger) not in known:
            yield _came(sides, s, stranger, planned, stood)


def _came(
    sides: Sides, s: int, stranger: Stranger, planned: set[str], then: Mapping[str, Sequence[OpenFinding]]
) -> DeviceDrift:
    """Return the drift that a device was found; `then` has the unplanned devices known to the baseline."""
    names = [(word, name) for word, name in (("tag", stranger.tag), ("serial", stranger.serial)) if name]
    name = " ".join(f"{word} {its}" for word, its in names) or "without tag and serial"
    in_plan = any(spelling(its) in planned for _, its in names)
    stood = _stood_there(stranger, then)
    # a device that was there then was added before; the plan now confirms the record of that
    since = datetime.date.min if stood and in_plan else sides.records.baseline.read_from
    explaining = [
        read for read in sides.records.of_stranger(stranger, since)
        if not read.after or spelling(read.after) == spelling(stranger.serial)
    ]  # fmt: skip
    case: Case = (
        "recorded" if explaining else "without-record" if in_plan else "unmended" if stood else "drift"
    )
    as_then = ", though an unplanned one of its name was there then" if stood else ""
    message = f"a device was found that is not in the baseline{as_then}: {name}"
    if explaining:
        message += f": {explaining[-1].words()}"
    elif in_plan:
        message += "; it is in the plan, but no change record says who allowed it"
    places = (stranger.place("tag" if stranger.tag else "serial"), *(read.place for read in explaining))
    tag = stranger.tag or stranger.serial
    at, message = (STRANGERS, s), message + NOT_COMPARED
    return DeviceDrift("came", case, stranger.network, tag, at, message, found=name,
                       places=places, records=tuple(explaining))  # fmt: skip


def _stood_there(stranger: Stranger, stood: Mapping[str, Sequence[OpenFinding]]) -> bool:
    """Tell whether a device of this name was there then, with this serial number as far as is known."""
    return any(
        one.network in ("", stranger.network) and not is_another(stranger.serial, one.serial)
        for one in stood.get(spelling(stranger.tag or stranger.serial), ())
    )
