"""Times: nodes read faster than a person can read and walk, all in one minute, or like clockwork."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Sequence
from itertools import groupby, pairwise
from typing import NamedTuple

from audit.checks.copied.visits import Sign, Visit
from audit.model.asked_of_evidence import CopySigns
from audit.model.table import Place
from audit.reading.moments import day_of, moment

_MINUTE = re.compile(
    r"\d{4}-?\d{2}-?\d{2}[T ]\d{2}:?\d{2}(?P<seconds>:?\d{2}([.,]\d+)?)?(Z|[-+]\d{2}(:?\d{2})?)?"
)
"""A date with a time of day; a date alone says nothing about the pace."""


Step = tuple["Stay", "Stay"]
Count = Callable[["Stay"], int]


class Stay(NamedTuple):
    """When a node was read."""

    visit: Visit
    start: datetime.datetime
    end: datetime.datetime
    to_the_second: bool
    somewhere: bool = False
    """Whether the distance to it is unknown."""

    @property
    def place(self) -> Place:
        """The place of the time."""
        return self.visit.place("read_at")


def stays(visits: Sequence[Visit]) -> list[Stay]:
    """Return when the nodes were read, in the order of time; nodes without a time of day are left out.

    A time given once for a whole file is not the time of a node.
    """
    found = []
    for visit in visits:
        texts = [
            t.texts("read_at")[e].strip()
            for t, e in visit.rows
            if (column := t.columns.get("read_at")) and not column.fixed
        ]
        matches = [_MINUTE.fullmatch(text) for text in texts]
        times = [time for text, match in zip(texts, matches, strict=True) if match and (time := moment(text))]
        if times:
            seconds = any(match and match["seconds"] for match in matches)
            found.append(Stay(visit, min(times), max(times), seconds))
    return sorted(found, key=lambda stay: (stay.start, stay.end, stay.visit.order))


def hurried(found: Sequence[Stay], limits: CopySigns) -> Sign | None:
    """Return the sign that nodes were read faster than a person can read and walk.

    Nodes with the same time count as one, since people write one time for several nodes.
    """
    groups = [[*those] for _, those in groupby(found, key=lambda stay: (stay.start, stay.end))]
    if not _fastest([those[0] for those in groups], limits, lambda stay: len(stay.visit.block.type.settings)):
        return None  # a quick count that rules out nearly all
    steps = _fastest([_shortest(those) for those in groups], limits, _settings)
    if not steps:
        return None
    needed = sum(_needed(*step, limits, _settings) for step in steps)
    taken = sum(_taken(*step) for step in steps)
    words = (
        f"{len(steps) + 1} nodes are recorded as read one after the other within {_span(taken)}, from "
        f"{steps[0][0].start:%H:%M} on, which takes at least {_span(needed)} (judgement: {_pace(limits)})"
    )
    strong = len(steps) + 1 >= limits.hasty_nodes
    return Sign(strong, words, (steps[0][0].place, steps[-1][1].place))


def _shortest(those: Sequence[Stay]) -> Stay:
    """Return the shortest of the stays at one time; if there are several, its position counts as unknown."""
    least = min(those, key=_settings)
    return least if len(those) == 1 else least._replace(somewhere=True)


def _fastest(rounds: Sequence[Stay], limits: CopySigns, settings: Count) -> list[Step]:
    """Return the steps of the stretch that lacks the most time, if more than rounding to minutes explains.

    The stretch with the largest sum of missing time: a maximum-subarray problem, solved in one pass. If all
    times are whole minutes, they were written to the minute: spreadsheets add the seconds.
    """
    exact = all(stay.to_the_second for stay in rounds) and any(stay.start.second for stay in rounds)
    allowance = 1 if exact else 60
    steps = [*pairwise(rounds)]
    begin, best, missing, most = 0, slice(0), 0.0, float(allowance)
    for k, step in enumerate(steps):
        if missing <= 0:
            begin, missing = k, 0.0
        missing += _needed(*step, limits, settings) - _taken(*step)
        if missing > most:
            best, most = slice(begin, k + 1), missing
    return steps[best]


def _settings(stay: Stay) -> int:
    return sum(1 for _ in stay.visit.shown_settings())


def _taken(one: Stay, other: Stay) -> float:
    """Return the seconds from one stay to another: between the starts or the ends, whichever is longer."""
    return max(other.start - one.start, other.end - one.end).total_seconds()


def _needed(one: Stay, other: Stay, limits: CopySigns, settings: Count) -> float:
    """Return the seconds that a person needs to read one of two nodes and walk to the other."""
    reading = max(limits.seconds_a_node, limits.seconds_a_setting * min(settings(one), settings(other)))
    return reading + min(_metres(one, other), limits.walked_m) / limits.metres_a_second


def _pace(limits: CopySigns) -> str:
    """Return in words the pace that nobody can exceed."""
    return (
        f"{limits.seconds_a_setting:g} s a setting, at least {limits.seconds_a_node:g} s a node, "
        f"{limits.metres_a_second:g} m/s on foot"
    )


def _metres(one: Stay, other: Stay) -> float:
    """Return how far two nodes are apart, in metres; 0 if a position is not known."""
    here, there = one.visit.position, other.visit.position
    return (
        0.0 if here is None or there is None or one.somewhere or other.somewhere else math.dist(here, there)
    )


def _span(seconds: float) -> str:
    """Return a time in a form for people: 45 s, 7 min."""
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"


def in_one_minute(found: Sequence[Stay], fewest: int) -> Sign | None:
    """Return the sign that all nodes were read in one minute; times to the second come from a machine."""
    if len(found) < fewest or found[0].start != found[-1].end or any(s.to_the_second for s in found):
        return None
    words = f"all {len(found):,} nodes are recorded as read in one minute, {found[0].start:%Y-%m-%d %H:%M}"
    return Sign(False, words, (found[0].place,))


def evenly(found: Sequence[Stay], fewest: int) -> Sign | None:
    """Return the sign that nodes were read in the order of the plan's rows at perfectly even intervals."""
    gaps = {(other.start - one.start, other.end - one.end) for one, other in pairwise(found)}
    if len(found) < fewest or len(gaps) != 1 or not all(next(iter(gaps))):
        return None
    rows = [_row_of_plan(stay.visit) for stay in found]
    if rows != sorted(rows) or len({row[:2] for row in rows}) > 1:
        return None
    apart = _span(_taken(*found[:2]))
    words = (
        f"the times of the {len(found):,} nodes are exactly {apart} apart, in the order of the plan's rows"
    )
    return Sign(False, words, (found[0].place, found[-1].place))


def _row_of_plan(visit: Visit) -> tuple[str, str, int]:
    place = visit.block.planned_place(visit.i, "tag")
    return place.file, place.sheet, place.row


def before_installation(visits: Sequence[Visit], fewest: int) -> Sign | None:
    """Return the sign that several nodes were read before the day they were installed, by local dates."""
    early = [
        visit for visit in visits
        if (installed := day_of(visit.block.installed[visit.i]))
        and (read := day_of(visit.field("read_at"))) and read < installed
    ]  # fmt: skip
    if len(early) < fewest:
        return None
    words = f"{len(early):,} nodes are recorded as read before the day they were installed"
    return Sign(False, words, (early[0].place("read_at"),))
