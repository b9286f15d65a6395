"""Recolouring a graph of conflicts with as few changes as possible.

An integer programme, solved by HiGHS: a yes or no for each vertex and colour, one colour for each vertex, and
each colour at most once among vertices that are all in conflict with each other. Such groups (the maximal
cliques) bind far tighter than pairs: as measured, 500 networks take less than a second, and are proven.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

import highspy
import networkx as nx

MOST_SECONDS = 60.0
"""After this the search in one part of the graph is stopped, and the best found so far is taken."""

Colours = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Coloured:
    """A colouring without conflicts."""

    colours: Colours
    changed: int
    """Vertices with another colour than before."""
    fewest: int
    """No colouring changes fewer; if this equals `changed`, it is proven that none is better."""


@dataclass(frozen=True, slots=True)
class Impossible:
    """There is no colouring, or none was found."""

    among: Sequence[str]
    """The vertices of the part of the graph that cannot be coloured."""
    proven: bool
    """Whether it is proven that there is none; if not, the search was stopped."""


def recolour(
    conflicts: Mapping[str, Set[str]],
    current: Mapping[str, int],
    allowed: Mapping[str, Sequence[int]],
    sizes: Mapping[str, int] | None = None,
    most_seconds: float = MOST_SECONDS,
) -> Coloured | Impossible:
    """Return colours for all vertices of a graph, or why there are none.

    `conflicts`: vertex → those that must have another colour. `current`: the colour that a vertex has, if
    any. `allowed`: the colours that a vertex may have, the first preferred where several are equally good.
    `sizes`: what changes with a vertex; of colourings that change as few vertices, the one in which least
    does. Each connected part of the graph is solved by itself.
    """
    graph = nx.Graph((one, other) for one, others in conflicts.items() for other in others)
    graph.add_nodes_from(conflicts)
    colours: dict[str, int] = {}
    fewest = 0
    for part in sorted(sorted(part) for part in nx.connected_components(graph)):
        groups = sorted(sorted(group) for group in nx.find_cliques(graph.subgraph(part)))
        found = _solve(part, groups, current, allowed, sizes or {}, most_seconds)
        if isinstance(found, Impossible):
            return found
        colours |= found.colours
        fewest += found.fewest
    changed = sum(current.get(vertex) != colour for vertex, colour in colours.items())
    return Coloured(colours, changed, fewest)


class _Silent(highspy.Highs):
    """The solver without its callbacks, which are not used here and print a greeting if they are enabled."""

    def enableCallbacks(self) -> None:  # noqa: N802 -- the library's name
        """Leave them off."""


def _solve(
    part: Sequence[str],
    groups: Sequence[Sequence[str]],
    current: Mapping[str, int],
    allowed: Mapping[str, Sequence[int]],
    sizes: Mapping[str, int],
    most_seconds: float,
) -> Coloured | Impossible:
    """Colour one part of the graph. `groups` are vertices of which no two may have one colour."""
    solver = _Silent()  # type: ignore[no-untyped-call]  # the library has types in part only
    for option, value in {"output_flag": False, "time_limit": most_seconds, "threads": 1}.items():
        solver.setOptionValue(option, value)
    # All sizes together weigh less than one change, and all preferences less than one in size.
    size = 0.5 / (1 + sum(sizes.get(vertex, 0) for vertex in part))
    light = size / (1 + len(part))
    has = {
        (vertex, colour): solver.addBinary(
            (current.get(vertex) != colour) * (1 + size * sizes.get(vertex, 0))
            + light * rank / len(allowed[vertex])
        )
        for vertex in part
        for rank, colour in enumerate(allowed[vertex])
    }
    for vertex in part:
        solver.addConstr(sum(has[vertex, colour] for colour in allowed[vertex]) == 1)
    for group in groups:
        for colour in sorted(_colours(group, allowed)):
            rivals = [has[vertex, colour] for vertex in group if (vertex, colour) in has]
            if len(rivals) > 1:
                solver.addConstr(sum(rivals) <= 1)
    solver.run()
    info = solver.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        crowd = [group for group in groups if len(group) > len(_colours(group, allowed))]
        proven = solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible
        return Impossible(max(crowd, key=len, default=part), proven=proven)
    chosen = {vertex: colour for (vertex, colour), one in has.items() if solver.variableValue(one) > 0.5}
    changed = sum(current.get(vertex) != colour for vertex, colour in chosen.items())
    # Sizes and preferences add up to less than 1, so the whole part of the bound is a bound on the changes.
    return Coloured(chosen, changed, min(changed, int(info.mip_dual_bound + 1e-6)))


def _colours(group: Sequence[str], allowed: Mapping[str, Sequence[int]]) -> set[int]:
    return {colour for vertex in group for colour in allowed[vertex]}
