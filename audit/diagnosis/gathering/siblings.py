"""Whether the other nodes of a node's gateway are heard, and whether the gateway has room."""

from __future__ import annotations

from collections.abc import Sequence

from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.missing import state_of
from audit.diagnosis.snapshot import Snapshot
from audit.model.site import Target
from audit.model.table import in_file
from audit.phrases import counted, examples, listed

SEVERAL = 2
"""Fewer silent siblings than this, or …"""
SEVERAL_OF = 5
"""… fewer than one in this many, are single faults and not a common one."""
MOST = 0.75
"""Silent siblings are most of them from this part on. Judgement."""


def siblings(case: Case) -> Answered | NotKnown:
    """Return whether the other nodes of its gateway are heard."""
    others = case.siblings()
    if not others:
        return NotKnown("whether other nodes are heard: it is its gateway's only node")
    newest = case.examined.lists.newest(case.network)
    states = [(target, *state_of(case.examined, target)) for target in others]
    states = [one for one in states if one[1] != "not known"]
    if newest is None or not states:
        return NotKnown(f"whether other nodes are heard: no list of {case.gateway_tag} was given")
    silent = [target for target, state, _ in states if state != "heard"]
    words = _in_words(case, newest, len(states), silent)
    if len(silent) == len(states):
        return Answered("siblings-silent", words, tuple(map(in_file, newest.files)))
    few = len(silent) < SEVERAL or len(silent) * SEVERAL_OF < len(states)
    if few and state_of(case.examined, case.target)[0] == "heard":
        here = f"{_where(case, newest)}, {case.tag} itself is still heard; take a new list"
        return NotKnown(f"whether other nodes are still heard: {here}")
    places = [s.place for _, state, s in states if s and (state == "heard") == few]
    most = len(silent) >= MOST * len(states)
    most = most and "siblings-most-silent" in case.causes.answers()  # a site's own causes may be older
    answer = "siblings-heard" if few else "siblings-most-silent" if most else "siblings-some-silent"
    return Answered(answer, words, tuple(places[: MOST_PLACES // 3]) or tuple(map(in_file, newest.files)))


def _in_words(case: Case, newest: Snapshot, number: int, silent: Sequence[Target]) -> str:
    """Return how many of a number of other nodes are heard, and which are not."""
    where = _where(case, newest)
    one, more = ("other node", "other nodes")
    if newest.at_nodes:
        one, more = ("other node that was read", "other nodes that were read")
    if len(silent) == number:
        none = f"none of the {number} {more} is" if number > 1 else f"the only {one} is not"
        return f"{none} heard {where}"
    if not silent:
        every = f"all {number} {more} are" if number > 1 else f"the only {one} is"
        return f"{every} heard {where}"
    heard = number - len(silent)
    be = "is" if heard == 1 else "are"
    names = examples([case.site.blocks[b].tags[i] for b, i in silent], 5)
    return f"{heard} of the {number} {more} {be} heard {where}, and {len(silent)} not: {names}"


def _where(case: Case, newest: Snapshot) -> str:
    """Return in which list nodes are heard, or who hears them if only people read that at the nodes."""
    if newest.at_nodes:
        return f"by {case.gateway_tag}, by readings at the nodes{newest.of_day()}"
    return f"in the list of {case.gateway_tag}{newest.of_day()}"


def room(case: Case) -> Answered | NotKnown | None:
    """Return whether its gateway is full; None if its capacity is not planned, or its list has the node."""
    network = next(n for n in case.site.plan.networks if n.name == case.network)
    most = network.capacity.nodes if network.capacity else None
    newest = case.examined.lists.newest(case.network)
    if most is None or newest is None or newest.at_nodes or not newest.size:
        return None
    if case.target in newest.sightings:
        return None
    answer = "gateway-full" if newest.size >= most else "gateway-has-room"
    be = "is" if newest.size == 1 else "are"
    words = f"{counted(newest.size, 'node')} {be} in the list of {case.gateway_tag}, which can hold {most}"
    guests = [
        f"{block.tags[i]} (planned for {block.networks[i]})"
        for (b, i) in newest.sightings
        if (block := case.site.blocks[b]).networks[i] != case.network
    ]
    of_others = f"; in that list, but planned for another gateway: {listed(guests, 5)}" if guests else ""
    places = tuple(map(in_file, newest.files))
    return Answered(answer, words + newest.unplanned() + of_others, places)
