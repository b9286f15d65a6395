"""Graphs whose chromatic number is known are coloured with as many colours, and proven not to be with fewer.

Sources: queen and Mycielski graphs are among the DIMACS colouring benchmarks (Johnson and Trick, Cliques,
Coloring, and Satisfiability, DIMACS vol. 26, 1996): queen5_5 has 5, myciel3 has 4. Petersen
graph 3, complete graph n, odd cycle 3, even cycle 2: any textbook (Diestel, Graph Theory, chapter 5). All
numbers from memory, not verified. The graphs are made by networkx, or here for the queens.
"""

from __future__ import annotations

from itertools import combinations, product
from typing import Any

import networkx as nx
import pytest

from audit.assigning.colouring import Coloured, Impossible, recolour


def queens(size: int) -> nx.Graph[Any]:
    """Return the squares of a board, joined where a queen can move from one to the other."""
    squares = list(product(range(size), repeat=2))
    return nx.Graph(
        (one, other)
        for one, other in combinations(squares, 2)
        if one[0] == other[0] or one[1] == other[1] or abs(one[0] - other[0]) == abs(one[1] - other[1])
    )


KNOWN = [
    ("queen5_5", queens(5), 5),
    ("myciel3", nx.mycielski_graph(4), 4),
    ("petersen", nx.petersen_graph(), 3),
    ("complete 7", nx.complete_graph(7), 7),
    ("cycle 31", nx.cycle_graph(31), 3),
    ("cycle 60", nx.cycle_graph(60), 2),
]


@pytest.mark.parametrize(("name", "graph", "colours"), KNOWN, ids=[name for name, _, _ in KNOWN])
def test_chromatic_numbers(name: str, graph: nx.Graph[Any], colours: int) -> None:
    """With the known number of colours there is a colouring; with one fewer there is proven to be none."""
    conflicts = {str(v): {str(other) for other in graph[v]} for v in graph}
    found = recolour(conflicts, {}, dict.fromkeys(conflicts, range(colours)))
    fewer = recolour(conflicts, {}, dict.fromkeys(conflicts, range(colours - 1)))

    assert isinstance(found, Coloured)
    assert all(found.colours[one] != found.colours[other] for one in conflicts for other in conflicts[one])
    assert isinstance(fewer, Impossible)
    assert fewer.proven
