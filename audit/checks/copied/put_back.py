"""Put back: settings that are again exactly those of another day, and were different in between."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from audit.checks.copied.visits import Sign, Visit, day_of_row
from audit.checks.disagreeing import Reading, readings_of
from audit.comparing import same
from audit.model.device import Setting
from audit.model.table import Table, tidied
from audit.model.value import Value
from audit.reading.meanings import Meanings

Row = tuple[Table, int]


class _Other(NamedTuple):
    """A setting that was read with a different value between two visits that agree."""

    visit: Visit
    setting: Setting
    between: Reading
    then: Row

    def is_planned(self, value: Value) -> bool:
        planned = self.visit.block.value("planned", self.setting.name, self.visit.i)
        return planned.read and same(value, planned, self.setting)

    @property
    def now(self) -> Value:
        return self.visit.block.value("found", self.setting.name, self.visit.i)


def put_back(visits: Sequence[Visit], fewest: int) -> Sign | None:
    """Return the sign that settings off plan are back exactly, as in an old sheet with a new date.

    A setting that is back as planned was corrected, or was misread in between.
    """
    meanings = Meanings()
    several = [visit for visit in visits if len(visit.of_node) > len(visit.rows) + 1]
    before = [(visit, then) for visit in several if (then := _as_before(visit))]
    others = [other for visit, then in before for other in _different(visit, then, meanings)]
    wrong = [other for other in others if not other.is_planned(other.now)]
    if len({other.visit.order for other in wrong}) < fewest:
        return None
    first, old = wrong[0], wrong[0].then[0]
    again = {visit.order for visit, then in before if then[0] is old}
    if any(table is old for visit in several if visit.order not in again for table, _ in visit.of_node):
        return None  # not all of the sheet is back
    words = (
        f"{len(again):,} nodes show exactly what {old.file} has for {day_of_row(*first.then)}, and "
        f"{len({other.visit.order for other in others})} of them were read differently in between, such as "
        f"{first.visit.tag} {first.setting.name}: {first.now.shown}, {first.between.value.shown}, "
        f"{first.now.shown}{_hidden(others)}"
    )
    name = first.setting.name
    places = (first.visit.place(name), first.then[0].place(first.then[1], name), first.between.place)
    return Sign(True, words, places)


def _as_before(visit: Visit) -> Row | None:
    """Return the newest row of another day that has exactly what was read at a visit."""
    today = visit.day
    shown = {s.name: tidied(place.raw) for s in visit.shown_settings() if (place := visit.reading(s.name))}
    return next(
        (
            (table, entry)
            for table, entry in reversed(visit.of_node)
            if today and shown and day_of_row(table, entry) not in ("", today)
            and all(tidied(table.texts(name)[entry]) == text for name, text in shown.items())
        ),
        None,
    )  # fmt: skip


def _different(visit: Visit, then: Row, meanings: Meanings) -> Iterator[_Other]:
    """Yield the settings of a visit that differ in a row between it and an older one."""
    rows = [row for row in visit.of_node if not any(_is(row, own) for own in visit.rows)]
    between = rows[next(k for k, row in enumerate(rows) if _is(row, then)) + 1 :]
    for setting in visit.shown_settings() if between else ():
        now = visit.block.value("found", setting.name, visit.i)
        readings = readings_of(between, setting, meanings) if now.read else []
        unlike = (one for one in readings if one.value.read and not same(one.value, now, setting))
        if other := next(unlike, None):
            yield _Other(visit, setting, other, then)


def _is(row: Row, other: Row) -> bool:
    return row[0] is other[0] and row[1] == other[1]


def _hidden(others: Sequence[_Other]) -> str:
    """Return what was off plan in between, and passes now."""
    hidden = [
        f"{other.visit.tag} {other.setting.name} {other.between.value.shown}"
        for other in others
        if other.is_planned(other.now)
    ]
    return f"; what was read in between no longer counts, such as {hidden[0]}" if hidden else ""
