"""The trend of its signal strength and battery voltage, over the dated readings."""

from __future__ import annotations

import datetime
from itertools import pairwise
from typing import NamedTuple

from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.exchanges import is_of_old_unit
from audit.diagnosis.gathering.since import exchanged_since
from audit.diagnosis.lists import cell, names_of, time_of
from audit.figures.battery_volts import how_low
from audit.model.table import Place
from audit.reading.identifiers import bare, damaged, spelling
from audit.reading.values import plain

MOST_OF = 0.75
"""If more than this share of a fall lies between two readings, it is not known to be gradual. Judgement."""


class Reading(NamedTuple):
    """A number that was read, and when."""

    at: datetime.datetime
    number: float
    shown: str
    place: Place


def course(case: Case, role: str, unit: str) -> list[Reading]:
    """Return the dated readings of a role, in a unit, oldest first; of several with one time, the last given.

    What a list shows of a node was so when the node was last heard, not when the list was made; what was
    read at the node was so then. What an earlier list had shown already is not another reading. Left out are
    readings of a unit that was exchanged since, by a change record or by the serial number of the newest
    reading, and signals at another gateway than its own, which came over another path.
    """
    names = names_of(case.site, role)
    exchange = case.exchange
    first = exchange.change.date if exchange else datetime.date.min
    found: dict[datetime.datetime, Reading] = {}
    units: dict[datetime.datetime, str] = {}
    listed: datetime.datetime | None = None
    foreign = case.examined.lists.foreign if role == "rssi" else ()
    for table, entry in case.rows:
        if (id(table), entry) in foreign:
            continue
        here = cell(table, entry, names)
        at = case.as_of(table, entry, here.setting if here else None)
        number = here.number(unit) if here else None
        serial = bare(table.texts("serial")[entry])
        old_unit = exchange and is_of_old_unit(serial, exchange)
        if not at or not here or number is None or at.date() < first or old_unit:
            continue
        last = found[max(found)].number if found else None
        if listed is None or at > listed or number != last:
            found[at] = Reading(at, number, here.value.shown, here.place)
            units[at] = "" if damaged(serial) else spelling(serial)
        listed = time_of(table, entry)
    newest = next((units[at] for at in sorted(units, reverse=True) if units[at]), "")
    return [found[at] for at in sorted(found) if units[at] in ("", newest)]


def volts(case: Case) -> Answered | NotKnown:
    """Return whether its battery voltage was low at the newest reading, or fell."""
    read = course(case, "battery_volts", "V")
    low = how_low(case.block.type.battery, read[-1].number) if read else ""
    if low and len(read) < 2:
        return Answered(
            "volts-low", f"battery {read[-1].shown} on {_day(read[-1])}, {low}", (read[-1].place,)
        )
    if len(read) < 2:
        return NotKnown(f"the trend of its battery voltage: {_how_many(read)}{exchanged_since(case)}")
    highest, last = max(read[:-1], key=lambda one: one.number), read[-1]
    fallen = 100 * (1 - last.number / highest.number) if highest.number > 0 else 0.0
    places = (last.place, highest.place)
    now = f"battery {last.shown} on {_day(last)}"
    if fallen >= case.causes.limits.volts_fall_percent:
        words = f"{now}{f', {low};' if low else ','} {highest.shown} on {_day(highest)}: {fallen:.0f} % less"
        return Answered("volts-low" if low else "volts-fell", words, places)
    if low:
        return Answered("volts-low", f"{now}, {low}", (last.place,))
    words = f"{now}, {read[0].shown} on {_day(read[0])}: steady"
    return Answered("volts-steady", words, (last.place, read[0].place))


def signal(case: Case) -> Answered | NotKnown:
    """Return whether its signal slid, dropped suddenly, or was steady before it was lost.

    If most of a fall lies between two readings that are far apart, it may be either of the first two.
    """
    read = course(case, "rssi", "dBm")
    if len(read) < 2:
        return NotKnown(f"the trend of its signal strength: {_how_many(read)}{exchanged_since(case)}")
    limits = case.causes.limits
    first, last = read[0], read[-1]
    days = datetime.timedelta(days=limits.signal_step_days)
    near = [(one, other) for one, other in pairwise(read) if other.at - one.at <= days]
    before, after = max(near, key=lambda step: step[0].number - step[1].number, default=(last, last))
    drop = before.number - after.number
    if drop >= limits.signal_step_db and before.number - last.number >= limits.signal_step_db:
        earlier = f"signal {before.shown} on {_day(before)}"
        words = f"{earlier}, {after.shown} on {_day(after)}: {_db(drop)} weaker, suddenly"
        return Answered("signal-dropped", words, (before.place, after.place))
    fallen = first.number - last.number
    from_to = f"signal {first.shown} on {_day(first)}, {last.shown} on {_day(last)}"
    places = tuple(dict.fromkeys(one.place for one in (first, *read[-MOST_PLACES + 1 :])))
    largest = max(one.number - other.number for one, other in pairwise(read))
    sudden = largest >= limits.signal_step_db and largest > MOST_OF * fallen
    if fallen >= limits.signal_slide_db and sudden:
        return NotKnown(f"{from_to}: {_db(fallen)} weaker; whether suddenly or gradually is not known")
    if len(read) > 2 and fallen >= limits.signal_slide_db:
        words = f"{from_to}, over {len(read)} readings: {_db(fallen)} weaker, gradually"
        return Answered("signal-slid", words, places)
    numbers = [one.number for one in read]
    words = f"{from_to}: steady within {_db(max(numbers) - min(numbers))}"
    return Answered("signal-steady", words, (first.place, last.place))


def _how_many(read: list[Reading]) -> str:
    return "only one dated reading" if read else "not read, or without dates"


def _day(one: Reading) -> str:
    return one.at.date().isoformat()


def _db(number: float) -> str:
    return f"{plain(round(number, 1))} dB"
