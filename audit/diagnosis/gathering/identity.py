"""Whether a node is the planned device: serial number, band, firmware, type."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import NamedTuple

from audit.comparing import same
from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.exchanges import brings
from audit.diagnosis.gathering.beforehand import unless_beforehand
from audit.diagnosis.gathering.since import Held, exchanged_since, held, read_at
from audit.diagnosis.missing import state_of
from audit.model.device import Setting
from audit.model.table import Place
from audit.model.value import Value
from audit.reading.identifiers import bare, damaged, spelling

OTHER_VARIANT = ("band-variant-wrong", "firmware-off-list", "device-type-differs")
VARIANT_ROLES = ("band", "firmware")


class Serial(NamedTuple):
    """A serial number found under a tag."""

    text: str
    place: Place
    at: datetime.datetime | None = None
    """When it was read, or heard by a gateway; None if that is not known, or of no interest."""


def identity(case: Case) -> Answered | NotKnown:
    """Return whether the serial number found under its tag is the planned one, or that of a change record.

    That of a device that is not in the plan counts first, unless its own was read on a later day; so does the
    one that a record brought, unless a foreign one was.
    """
    exchange = case.exchange
    own = [one for one in _serials(case) if not damaged(one.text)] if case.serial else []
    foreign = [one for one in own if spelling(one.text) != spelling(case.serial)]
    beside = _beside(case)
    brought = [one for one in beside if brings(exchange, one.text)]
    others = [one for one in beside if one not in brought]
    found = [*own, *_since(foreign, brought), *reversed(_since(own, others))]
    if not found:
        return NotKnown("its serial number: " + ("not planned" if not case.serial else "not read"))
    text, place, _ = found[-1]
    if exchange and brings(exchange, text):
        words = f"serial {text} is the one that change {exchange.change.id} brought"
        return Answered("serial-as-planned", words, (place, exchange.place))
    if spelling(text) != spelling(case.serial):
        words = f"serial {text} was found under its tag; {case.serial} is planned"
        return Answered("serial-differs", words, (place, case.block.planned_place(case.i, "serial")))
    as_planned = Answered("serial-as-planned", f"serial {text} is the planned one", (place,))
    alike = (one.at for one in found if spelling(one.text) == spelling(text))
    return unless_beforehand(case, as_planned, alike)


def _since(own: Sequence[Serial], beside: Sequence[Serial]) -> list[Serial]:
    """Return the serial numbers that were not read before the day on which the last of its own was."""
    last = max((one.at.date() for one in own if one.at), default=datetime.date.min)
    return [one for one in beside if not (one.at and one.at.date() < last)]


def _serials(case: Case) -> list[Serial]:
    """Return the serial numbers read of it, oldest first; a list's are as old as the node's last message."""
    return [
        Serial(text, table.place(entry, "serial"), case.as_of(table, entry))
        for table, entry in case.rows if (text := bare(table.texts("serial")[entry]))
    ]  # fmt: skip


def _beside(case: Case) -> list[Serial]:
    """Return the serial numbers of devices that are not in the plan and were read under its tag."""
    return [
        Serial(one.serial, one.place("serial"), case.as_of(*one.rows[-1]))
        for one in case.site.strangers
        if one.tag and spelling(one.tag) == spelling(case.tag) and one.network in ("", case.network)
    ]


def variant(case: Case) -> Answered | NotKnown | None:
    """Return whether its band, firmware and type are as planned or approved.

    What was read of a unit that was exchanged since does not count.
    """
    off = [one for one in case.noticed(OTHER_VARIANT) if not _of_old_unit(case, one.found.hit.settings)]
    if off:
        words = "; ".join(one.found.hit.message for one in off)
        places = tuple(place for one in off for place in one.found.hit.places)[:MOST_PLACES]
        return Answered("variant-differs", words, places)
    settings = [setting for role in VARIANT_ROLES for setting in case.block.settings(role)]
    judged = [
        setting for setting in settings
        if case.planned(setting).read
        or any(one.setting == setting.name for one in case.site.plan.approved)
    ]  # fmt: skip
    if not judged:
        return None
    read = [(s, has) for s in judged if (has := held(case, case.target, s))]
    if not read:
        return NotKnown(f"its band and firmware: not read{exchanged_since(case)}")
    differing = [(s, has) for s, has in read if _off_plan(case, s, has.value)]
    if differing:
        return _differs(case, differing)
    values = ", ".join(f"{s.name} {has.value.shown}" for s, has in read)
    places = tuple(has.place for _, has in read)
    as_planned = Answered("variant-as-planned", f"{values}: as planned or approved", places)
    return unless_beforehand(case, as_planned, (has.at for _, has in read))


def _of_old_unit(case: Case, settings: Sequence[str]) -> bool:
    """Return whether one of these settings was last read before the unit was exchanged."""
    exchange = case.exchange
    times = [at for name in settings if (at := read_at(case.block, case.i, name))]
    return exchange is not None and any(at.date() < exchange.change.date for at in times)


def _off_plan(case: Case, setting: Setting, found: Value) -> bool:
    """Return whether a value is not the planned one, and the plan has no list of approved ones."""
    planned = case.planned(setting)
    listed = any(one.setting == setting.name for one in case.site.plan.approved)
    return planned.read and not listed and not same(planned, found, setting)


def _differs(case: Case, settings: Sequence[tuple[Setting, Held]]) -> Answered | NotKnown:
    """Return that these values are not as planned, unless another node with the same values is heard."""
    block, i = case.block, case.i
    values = ", ".join(
        f"{s.name} {has.value.shown}, planned {block.value('planned', s.name, i).shown}"
        for s, has in settings
    )
    for b, k in case.siblings():
        alike = b == case.target[0] and all(
            (its := block.value("found", s.name, k)).read and same(its, has.value, s) for s, has in settings
        )
        if alike and state_of(case.examined, (b, k))[0] == "heard":
            return NotKnown(f"whether {values}, keeps it out: {block.tags[k]} has the same and is heard")
    places = [(has.place, block.planned_place(i, s.name)) for s, has in settings]
    return Answered(
        "variant-differs", values, tuple(place for both in places for place in both)[:MOST_PLACES]
    )
