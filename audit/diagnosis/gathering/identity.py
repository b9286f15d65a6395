"""Whether a node is the planned device: serial number, band, firmware, type."""

from __future__ import annotations

from audit.comparing import same
from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.exchanges import brings
from audit.diagnosis.gathering.records import exchanged_on
from audit.diagnosis.missing import state_of
from audit.model.device import Setting
from audit.model.table import Place
from audit.reading.identifiers import bare, damaged, spelling

OTHER_VARIANT = ("band-variant-wrong", "firmware-off-list", "device-type-differs")
VARIANT_ROLES = ("band", "firmware")


def identity(case: Case) -> Answered | NotKnown:
    """Return whether the serial number found under its tag is the planned one, or that of a change record."""
    exchange = exchanged_on(case)
    beside = [
        (one.serial, one.place("serial")) for one in case.site.strangers
        if one.tag and spelling(one.tag) == spelling(case.tag) and one.network in ("", case.network)
    ]  # fmt: skip
    others = [one for one in beside if not brings(exchange, one[0])]
    own = [one for one in _serials(case) if not damaged(one[0])] if case.serial else []
    found = [*own, *beside, *reversed(others)]
    if not found:
        return NotKnown("its serial number: " + ("not planned" if not case.serial else "not read"))
    text, place = found[-1]
    if exchange and brings(exchange, text):
        words = f"serial {text} is the one that change {exchange.change.id} brought"
        return Answered("serial-as-planned", words, (place, exchange.place))
    if spelling(text) != spelling(case.serial):
        words = f"serial {text} was found under its tag; {case.serial} is planned"
        return Answered("serial-differs", words, (place, _planned(case)))
    return Answered("serial-as-planned", f"serial {text} is the planned one", (place,))


def _serials(case: Case) -> list[tuple[str, Place]]:
    """Return the serial numbers read of it, oldest first, each with its place."""
    rows = case.block.rows[case.i] if case.block.rows else []
    texts = [(bare(table.texts("serial")[entry]), table.place(entry, "serial")) for table, entry in rows]
    return [(text, place) for text, place in texts if text]


def _planned(case: Case) -> Place:
    return case.block.planned_place(case.i, "serial")


def variant(case: Case) -> Answered | NotKnown | None:
    """Return whether its band, firmware and type are as planned or approved."""
    off = case.noticed(OTHER_VARIANT)
    if off:
        words = "; ".join(one.found.hit.message for one in off)
        places = tuple(place for one in off for place in one.found.hit.places)[:MOST_PLACES]
        return Answered("variant-differs", words, places)
    settings = [setting for role in VARIANT_ROLES for setting in case.block.settings(role)]
    judged = [
        setting for setting in settings
        if case.block.value("planned", setting.name, case.i).read
        or any(one.setting == setting.name for one in case.site.plan.approved)
    ]  # fmt: skip
    if not judged:
        return None
    read = [s for s in judged if case.block.value("found", s.name, case.i).read]
    if not read:
        return NotKnown("its band and firmware: not read")
    differing = [s for s in read if _off_plan(case, s)]
    if differing:
        return _differs(case, differing)
    values = ", ".join(f"{s.name} {case.block.value('found', s.name, case.i).shown}" for s in read)
    places = tuple(case.block.found_place(case.i, s.name) for s in read)
    return Answered("variant-as-planned", f"{values}: as planned or approved", places)


def _off_plan(case: Case, setting: Setting) -> bool:
    """Return whether a value is not the planned one, and the plan has no list of approved ones."""
    planned, found = (case.block.value(side, setting.name, case.i) for side in ("planned", "found"))
    listed = any(one.setting == setting.name for one in case.site.plan.approved)
    return planned.read and not listed and not same(planned, found, setting)


def _differs(case: Case, settings: list[Setting]) -> Answered | NotKnown:
    """Return that these values are not as planned, unless another node with the same values is heard."""
    block, i = case.block, case.i
    values = ", ".join(
        f"{s.name} {block.value('found', s.name, i).shown}, planned {block.value('planned', s.name, i).shown}"
        for s in settings
    )
    for b, k in case.siblings():
        alike = b == case.target[0] and all(
            (its := block.value("found", s.name, k)).read and same(its, block.value("found", s.name, i), s)
            for s in settings
        )
        if alike and state_of(case.examined, (b, k))[0] == "heard":
            return NotKnown(f"whether {values}, keeps it out: {block.tags[k]} has the same and is heard")
    places = [(block.found_place(i, s.name), block.planned_place(i, s.name)) for s in settings]
    return Answered(
        "variant-differs", values, tuple(place for both in places for place in both)[:MOST_PLACES]
    )
