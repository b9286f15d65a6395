"""Numbering: drafts become visits and steps, in the order in which they are done."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from audit.errors import stop
from audit.grouping import grouped
from audit.model.base import Position
from audit.model.worklist import Route, Step, Visit
from audit.reading.identifiers import natural
from audit.worklist.cautions import cautions_beside
from audit.worklist.changing import at_menu
from audit.worklist.drafts import Draft, Making, lock_after, within
from audit.worklist.replay import Turn
from audit.worklist.route import Group, Stop, by_distance, by_names, metres
from audit.worklist.visits import group_of

TITLES = {
    "desk": "At the desk, before anyone drives out",
    "host": "At the host system",
    "closing": "Afterwards",
}
ORDER = ("desk", "device", "host", "closing")


@dataclass(frozen=True, slots=True)
class Numbered:
    """The steps in order, with their visits, and the same steps in the form that the replay needs."""

    visits: list[Visit]
    steps: list[Step]
    turns: list[Turn]
    drafts: list[Draft]
    """The draft of each step."""
    route: Route


def number(making: Making, start: Position | None) -> Numbered:
    """Return the steps with their numbers. Raises InputProblems for a start that is of no use."""
    groups = grouped((group_of(draft), n) for n, draft in enumerate(making.drafts))
    for numbers in groups.values():
        numbers.sort(key=lambda n: (within(making.drafts[n]), n))
    order, route = _order(making, groups, start)
    sequence = [n for group in order for n in groups[group]]
    number_of = {n: place for place, n in enumerate(sequence, 1)}
    visits, visit_of = _visits(making, order, groups, start)
    needs = _direct_needs(making, sequence, number_of)
    steps = [_step(making, n, number_of, needs[n], visit_of) for n in sequence]
    turns = [_turn(making, n, number_of) for n in sequence]
    return Numbered(visits, steps, turns, [making.drafts[n] for n in sequence], route)


def _order(
    making: Making, groups: Mapping[Group, list[int]], start: Position | None
) -> tuple[list[Group], Route]:
    """Return the order of the groups of steps: desk, places, host, and what comes afterwards."""
    stops = [_stop(making, group, numbers) for group, numbers in groups.items() if group[0] == "device"]
    if start is None:
        stops = by_names(stops)
        route = Route(how="by network, place and tag, as far as the steps allow", metres=None)
    else:
        if stops and not any(one.position and metres(start, one.position) is not None for one in stops):
            raise stop(
                "--start: no device of the work list has a position of this kind in the plan",
                "state its `position` in the plan, on the grid or as latitude and longitude, or omit --start",
            )
        stops, length, how = by_distance(stops, start)
        route = Route(how=f"{how}; straight lines", metres=round(length, 1))
    order = [*(group for group in groups if group[0] != "device"), *(one.key for one in stops)]
    return sorted(order, key=lambda group: ORDER.index(str(group[0]))), route


def _stop(making: Making, group: Group, numbers: Sequence[int]) -> Stop:
    draft = making.drafts[numbers[0]]
    needs = {group_of(making.drafts[other]) for n in numbers for other in making.drafts[n].needs}
    at_places = frozenset(one for one in needs if one[0] == "device" and one != group)
    place = f"{draft.network}, {draft.place}"
    rank = (natural(draft.network), natural(draft.place), natural(draft.tag), draft.visit)
    return Stop(group, draft.network, place, rank, at_places, draft.device.position if draft.device else None)


def _visits(
    making: Making, order: Sequence[Group], groups: Mapping[Group, list[int]], start: Position | None
) -> tuple[list[Visit], dict[Group, int]]:
    """Return the visits; devices at one place are visited together."""
    visits: list[Visit] = []
    visit_of: dict[Group, int] = {}
    here = start
    for group in order:
        draft = making.drafts[groups[group][0]]
        title = TITLES.get(draft.at) or ": ".join(dict.fromkeys(filter(None, (draft.network, draft.place))))
        position = draft.device.position if draft.device and draft.at == "device" else None
        if not visits or visits[-1].title != title:
            way = metres(here, position) if here and position else None
            visits.append(
                Visit(number=len(visits) + 1, title=title, metres=None if way is None else round(way, 1))
            )
        visit_of[group] = len(visits)
        here = position if start and position else here
    return visits, visit_of


def _direct_needs(
    making: Making, sequence: Sequence[int], number_of: Mapping[int, int]
) -> dict[int, list[int]]:
    """Return draft → the steps that it names as needed, without those that another of them needs already."""
    behind: dict[int, set[int]] = {}
    direct: dict[int, list[int]] = {}
    for n in sequence:
        named: list[int] = []
        behind[n] = set()
        for other in sorted(making.drafts[n].needs, key=number_of.__getitem__, reverse=True):
            if other not in behind[n]:
                named.append(number_of[other])
                behind[n] |= {other, *behind[other]}
        direct[n] = sorted(named)
    return direct


def _step(
    making: Making, n: int, number_of: Mapping[int, int], needs: list[int], visit_of: Mapping[Group, int]
) -> Step:
    draft = making.drafts[n]
    return Step(
        number=number_of[n],
        visit=visit_of[group_of(draft)],
        network=draft.network or None,
        place=draft.place if draft.at == "device" else draft.at,
        tag=draft.tag or None,
        serial=(draft.device.serial or None) if draft.device else None,
        do=_with_numbers(draft.do, number_of),
        changes=list(draft.changes),
        needs=needs,
        hold=_with_numbers(draft.hold, number_of) or None,
        cautions=cautions_beside(making, draft),
        expect=_with_numbers(draft.expect, number_of),
        minutes=draft.minutes,
        rollback=_with_numbers(draft.rollback, number_of) or None,
        findings=list(draft.findings),
        status=None,
        as_left=None,
    )


def _with_numbers(text: str, number_of: Mapping[int, int]) -> str:
    """Return a text with the numbers of the steps that it mentions."""
    return re.sub("\x00([0-9]+)\x00", lambda found: str(number_of.get(int(found[1]), found[0])), text)


def _turn(making: Making, n: int, number_of: Mapping[int, int]) -> Turn:
    draft = making.drafts[n]
    return Turn(
        number=number_of[n],
        device=draft.device.key if draft.device else None,
        changes=draft.sets,
        minutes=draft.minutes,
        needs=tuple(sorted(number_of[other] for other in draft.needs)),
        unlocks=draft.unlocks,
        at_menu=at_menu(making.work, draft),
        locked_after=lock_after(draft),
    )
