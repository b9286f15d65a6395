"""How its signal strength and battery voltage went, over the readings that are dated."""

from __future__ import annotations

import datetime
from itertools import pairwise
from typing import NamedTuple

from audit.diagnosis.evidence import MOST_PLACES, NotKnown, Told
from audit.diagnosis.examined import Case
from audit.diagnosis.lists import cell, names_of, time_of
from audit.model.table import Place
from audit.reading.values import plain


class Reading(NamedTuple):
    """A number that was read at a time."""

    at: datetime.datetime
    number: float
    shown: str
    place: Place


def course(case: Case, role: str, unit: str) -> list[Reading]:
    """Return the dated readings of a role, in a unit, oldest first; one a time, the last one given.

    A signal at another gateway than its own is of another path, and left out.
    """
    names = names_of(case.site, role)
    found: dict[datetime.datetime, Reading] = {}
    foreign = case.examined.lists.foreign if role == "rssi" else ()
    for table, entry in case.block.rows[case.i] if case.block.rows else ():
        if (id(table), entry) in foreign:
            continue
        at, here = time_of(table, entry), cell(table, entry, names)
        number = here.number(unit) if here else None
        if at and here and number is not None:
            found[at] = Reading(at, number, here.value.shown, here.place)
    return [found[at] for at in sorted(found)]


def volts(case: Case) -> Told | NotKnown:
    """Return whether its battery voltage fell."""
    read = course(case, "battery_volts", "V")
    if len(read) < 2:
        return NotKnown(f"the course of its battery voltage: {_how_many(read)}")
    highest, last = max(read[:-1], key=lambda one: one.number), read[-1]
    fallen = 100 * (1 - last.number / highest.number) if highest.number > 0 else 0.0
    places = (last.place, highest.place)
    now = f"battery {last.shown} on {_day(last)}"
    if fallen >= case.causes.limits.volts_fall_percent:
        words = f"{now}, {highest.shown} on {_day(highest)}: {fallen:.0f} % less"
        return Told("volts-fell", words, places)
    words = f"{now}, {read[0].shown} on {_day(read[0])}: steady"
    return Told("volts-steady", words, (last.place, read[0].place))


def signal(case: Case) -> Told | NotKnown:
    """Return whether its signal slid, dropped at once, or was steady before it was lost."""
    read = course(case, "rssi", "dBm")
    if len(read) < 2:
        return NotKnown(f"the course of its signal strength: {_how_many(read)}")
    limits = case.causes.limits
    first, last = read[0], read[-1]
    drop, before, after = max(
        ((one.number - other.number, one, other) for one, other in pairwise(read)),
        key=lambda step: step[0],
    )
    if drop >= limits.signal_step_db and before.number - last.number >= limits.signal_step_db:
        then = f"signal {before.shown} on {_day(before)}"
        words = f"{then}, {after.shown} on {_day(after)}: {_db(drop)} weaker at once"
        return Told("signal-dropped", words, (before.place, after.place))
    fallen = first.number - last.number
    course_of = f"signal {first.shown} on {_day(first)}, {last.shown} on {_day(last)}"
    places = tuple(dict.fromkeys(one.place for one in (first, *read[-MOST_PLACES + 1 :])))
    if len(read) > 2 and fallen >= limits.signal_slide_db:
        words = f"{course_of}, over {len(read)} readings: {_db(fallen)} weaker, little by little"
        return Told("signal-slid", words, places)
    words = f"{course_of}: steady within {_db(_spread(read))}"
    return Told("signal-steady", words, (first.place, last.place))


def _spread(read: list[Reading]) -> float:
    numbers = [one.number for one in read]
    return max(numbers) - min(numbers)


def _how_many(read: list[Reading]) -> str:
    return "only one dated reading" if read else "not read, or without dates"


def _day(one: Reading) -> str:
    return one.at.date().isoformat()


def _db(number: float) -> str:
    return f"{plain(round(number, 1))} dB"
