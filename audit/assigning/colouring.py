"""Colouring a graph of conflicts anew with as few changes as can be.

Each part of the graph that hangs together is searched by itself: the vertex with the fewest colours left
comes next (Brelaz 1979, DSATUR), its own colour is tried first, and a branch is left as soon as it cannot
change fewer vertices than the best that is known. The search is exact where it comes to its end; where it is
stopped, the best found so far is given, with the number of changes that no assignment can be below.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field

import networkx as nx

MOST_STEPS = 200_000
"""Vertices visited in one part before the search is stopped: a few seconds."""

Colours = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Coloured:
    """A colouring without conflicts."""

    colours: Colours
    changed: int
    """Vertices with another colour than before."""
    fewest: int
    """No colouring changes fewer; where this is `changed`, it is proven that none is better."""


@dataclass(frozen=True, slots=True)
class Impossible:
    """There is no colouring, or none was found."""

    among: Sequence[str]
    """The vertices of the part of the graph that cannot be coloured."""
    proven: bool
    """Whether there is none at all; otherwise the search was stopped."""


def recolour(
    conflicts: Mapping[str, Set[str]],
    current: Mapping[str, int],
    allowed: Mapping[str, Sequence[int]],
    most_steps: int = MOST_STEPS,
) -> Coloured | Impossible:
    """Return colours for all vertices of a graph, or why there are none.

    `conflicts`: vertex → those that must have another colour. `current`: the colour that a vertex has, if
    any. `allowed`: the colours that a vertex may have, the first preferred.
    """
    graph = nx.Graph((one, other) for one, others in conflicts.items() for other in others)
    graph.add_nodes_from(conflicts)
    colours: dict[str, int] = {}
    changed = fewest = 0
    for part in sorted(sorted(part) for part in nx.connected_components(graph)):
        search = _Search(conflicts, current, allowed, part, most_steps)
        search.run()
        if search.best is None:
            return Impossible(part, proven=not search.stopped)
        colours |= search.best
        changed += search.cost
        fewest += search.bound({}) if search.stopped else search.cost
    return Coloured(colours, changed, fewest)


@dataclass
class _Search:
    """A search in one part of the graph."""

    conflicts: Mapping[str, Set[str]]
    current: Mapping[str, int]
    allowed: Mapping[str, Sequence[int]]
    part: Sequence[str]
    left: int
    """Steps that may still be taken."""
    best: dict[str, int] | None = None
    cost: int = field(default=0)
    stopped: bool = False

    def run(self) -> None:
        """Find the best colouring. The stack is our own: a part may be deeper than Python's."""
        given: dict[str, int] = {}
        stack = [(vertex, self._choices(vertex, given)) for vertex in self._next(given)]
        if not stack:
            return
        while stack:
            vertex, choices = stack[-1]
            given.pop(vertex, None)
            colour = next(choices, None)
            if colour is None:
                stack.pop()
                continue
            if self.left == 0:
                self.stopped = True
                return
            self.left -= 1
            given[vertex] = colour
            if self.best is not None and self.bound(given) >= self.cost:
                continue
            if len(given) == len(self.part):
                self.best, self.cost = dict(given), self.bound(given)
                continue
            stack.extend((one, self._choices(one, given)) for one in self._next(given))

    def bound(self, given: Colours) -> int:
        """Return a number of changes that no colouring which has the given colours is below.

        Changed are those given another colour, those whose own colour is taken or not allowed, and of two
        neighbours with one colour at least one.
        """
        changed = sum(self.current.get(vertex) != colour for vertex, colour in given.items())
        free = [vertex for vertex in self.part if vertex not in given]
        keeping = {vertex for vertex in free if self._may_keep(vertex, given)}
        changed += len(free) - len(keeping)
        for vertex in free:
            if vertex in keeping:
                rivals = (
                    other
                    for other in sorted(self.conflicts[vertex] & keeping)
                    if self.current[other] == self.current[vertex]
                )
                rival = next(rivals, None)
                if rival is not None:
                    keeping -= {vertex, rival}
                    changed += 1
        return changed

    def _may_keep(self, vertex: str, given: Colours) -> bool:
        own = self.current.get(vertex)
        return own is not None and own in self.allowed[vertex] and own not in self._taken(vertex, given)

    def _taken(self, vertex: str, given: Colours) -> set[int]:
        return {given[other] for other in self.conflicts[vertex] if other in given}

    def _next(self, given: Colours) -> list[str]:
        """Return the vertex with the fewest colours left, then the most neighbours; none at the end."""
        free = [vertex for vertex in self.part if vertex not in given]

        def key(vertex: str) -> tuple[int, int, str]:
            taken = self._taken(vertex, given)
            left = sum(colour not in taken for colour in self.allowed[vertex])
            return left, -len(self.conflicts[vertex]), vertex

        return [min(free, key=key)] if free else []

    def _choices(self, vertex: str, given: Colours) -> Iterator[int]:
        """Yield the colours to try: its own first; of those that nobody has or had, only the first.

        Colours that nothing in this part has are alike, where all its vertices may have the same ones.
        """
        taken = self._taken(vertex, given)
        own = self.current.get(vertex)
        had = {self.current.get(one) for one in self.part} | set(given.values())
        alike = len({tuple(self.allowed[one]) for one in self.part}) == 1
        fresh = True
        for colour in sorted(self.allowed[vertex], key=lambda one: one != own):
            if colour in taken:
                continue
            if colour not in had and alike:
                if not fresh:
                    continue
                fresh = False
            yield colour
