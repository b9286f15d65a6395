"""Visits: a device is visited twice only if something has to be done elsewhere in between."""

from __future__ import annotations

from collections import defaultdict

import networkx

from audit.worklist.drafts import Draft, Making
from audit.worklist.route import Group

SHUTTING = ("port", "code", "lock")
"""Phases of the work that is done last of all at a device."""


def group_of(draft: Draft) -> Group:
    """Return the group of steps that a step is done in one go with: those at its device, or at the desk."""
    if draft.at != "device":
        return (draft.at,)
    return ("device", *(draft.device.key if draft.device else (draft.network, draft.tag, "")), draft.visit)


def split_visits(making: Making) -> None:
    """Put steps into a later visit to their device if devices wait for each other in a ring.

    For instance: the label of A is read, then B moves, then A moves.
    """
    while ring := _ring(making):
        behind = steps_behind(making)
        late = [n for group in ring for n in _late(making, behind, group, ring)]
        if not late:
            return
        for n in late:
            making.drafts[n].visit += 1


def finish_last(making: Making) -> None:
    """Put the steps that close a device into the last visit to it, since earlier it has to stay open."""
    last: dict[Group, int] = {}
    at_devices = [draft for draft in making.drafts if draft.at == "device"]
    for draft in at_devices:
        who = group_of(draft)[:-1]
        last[who] = max(draft.visit, last.get(who, 0))
    for draft in at_devices:
        if draft.phase in SHUTTING:
            draft.visit = last[group_of(draft)[:-1]]


def _ring(making: Making) -> list[Group]:
    """Return visits that wait for each other in a ring, the first such ring by name; empty if none do."""
    graph: networkx.DiGraph[Group] = networkx.DiGraph()
    for draft in making.drafts:
        for other in draft.needs:
            before, after = group_of(making.drafts[other]), group_of(draft)
            if before != after:
                graph.add_edge(before, after)
    rings = [sorted(part, key=str) for part in networkx.strongly_connected_components(graph) if len(part) > 1]
    return min(rings, key=str, default=[])


def steps_behind(making: Making) -> dict[int, set[int]]:
    """Return step → all the steps that have to be done before it, directly or not."""
    graph: networkx.DiGraph[int] = networkx.DiGraph()
    graph.add_nodes_from(range(len(making.drafts)))
    graph.add_edges_from((other, n) for n, draft in enumerate(making.drafts) for other in draft.needs)
    behind: dict[int, set[int]] = defaultdict(set)
    for n in networkx.topological_sort(graph):
        for other in graph.predecessors(n):
            behind[n] |= {other, *behind[other]}
    return behind


def _late(making: Making, behind: dict[int, set[int]], group: Group, ring: list[Group]) -> list[int]:
    """Return the steps of a visit that wait for another visit of the ring, unless all of them do."""
    others = [one for one in ring if one != group]
    own = [n for n, draft in enumerate(making.drafts) if group_of(draft) == group]
    late = [n for n in own if any(group_of(making.drafts[other]) in others for other in behind[n])]
    return late if len(late) < len(own) else []
