"""The journey to the node, whether a trip is worth it, and what to take along."""

from __future__ import annotations

from collections.abc import Mapping

from audit.diagnosis.asked import Asked
from audit.diagnosis.examined import Case
from audit.diagnosis.order import Order, unresolved
from audit.diagnosis.words import percent
from audit.engineering.positions import at, between_m
from audit.errors import stop_at
from audit.model.base import Position
from audit.model.diagnosis import Trip
from audit.model.joining import CausesFile
from audit.reading.values import plain

HARDLY = 0.1
"""A trip with less than this chance of finding the cause is hardly worth it. Judgement."""
TAKE_FROM = 0.05
"""What fixes a cause is taken along if the cause is at least this probable. Judgement."""


def is_there(causes: CausesFile, asked: Asked) -> bool:
    """Return whether somebody is at the node already: a check there was tried, or something was reported."""
    at_site = {check.id for check in causes.checks if check.where == "site"}
    return asked.there or any(one.check in at_site for one in asked.tried)


def travel_minutes(case: Case, asked: Asked) -> tuple[float, str]:
    """Return the minutes to the node and back, and what they rest on. Raises InputProblems."""
    if is_there(case.causes, asked):
        return 0.0, "you are there"
    return _way(case, asked, case.position, case.tag)


def gateway_way_minutes(case: Case, asked: Asked) -> float:
    """Return the minutes to the gateway and back; a stated time applies to it too. Raises InputProblems."""
    block, i = case.gateway
    return _way(case, asked, block.positions[i], case.gateway_tag)[0]


def _way(case: Case, asked: Asked, position: Position | None, tag: str) -> tuple[float, str]:
    travel = case.causes.travel
    if asked.travel_minutes is not None:
        return asked.travel_minutes, "as stated"
    if asked.start is None:
        return travel.minutes, "assumed; state it with --travel or --start"
    if position is None:
        return travel.minutes, f"assumed: the plan has no position of {tag}"
    try:
        straight = between_m(at(*asked.start, on_grid=position.x_m is not None), position)
    except ValueError as error:
        raise stop_at("--start", error) from None
    kilometres = 2 * straight / 1000 * travel.detour
    basis = (
        f"{kilometres:.1f} km there and back, {plain(travel.detour)} times the straight line, "
        f"at {plain(travel.km_per_hour)} km/h"
    )
    return 60 * kilometres / travel.km_per_hour, basis


def trip(case: Case, order: Order, now: Mapping[str, float], basis: str) -> Trip | None:
    """Return the trip of an order, None if there is nothing to check at the node."""
    if not order.trip:
        return None
    chance = 1 - unresolved(now, order.trip)
    minutes = order.travel + sum(option.minutes for option in order.trip)
    if chance < HARDLY:
        worth, words = "hardly", f"hardly worth it: {percent(chance)} chance of finding the cause"
    elif order.before:
        first, first_minutes = 1 - unresolved(now, order.before), sum(o.minutes for o in order.before)
        worth = "after the desk"
        words = (
            f"not yet: {percent(first)} chance that the checks before it find the cause, in at most "
            f"{plain(round(first_minutes))} minutes; a trip takes up to {plain(round(minutes))}"
        )
    else:
        worth = "now"
        words = f"now: {percent(chance)} chance of finding the cause, and no other check is worth doing first"
    return Trip(
        travel_minutes=round(order.travel, 1),
        travel_basis=basis,
        minutes=round(minutes, 1),
        chance=round(chance, 6),
        worth=worth,
        words=words,
        take=_take(case, order, now),
    )


def _take(case: Case, order: Order, now: Mapping[str, float]) -> list[str]:
    """Return what to take along: for the checks there, and to fix causes that are probable enough."""
    checks = {check.id: check for check in case.causes.checks}
    things = [thing for option in order.trip for thing in checks[option.id].take]
    likely = sorted(case.causes.causes, key=lambda cause: -now[cause.id])
    things += [thing for cause in likely if now[cause.id] >= TAKE_FROM for thing in cause.take]
    return list(dict.fromkeys(things))
