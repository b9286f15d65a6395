"""Colouring with as few changes as possible."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.assigning.colouring import Coloured, Impossible, recolour

Graph = Mapping[str, set[str]]


def graph(vertices: str, *edges: str) -> Graph:
    """Return a graph of vertices and edges, each named by letters."""
    return {v: {e.replace(v, "") for e in edges if v in e} for v in vertices}


def fewest_by_trying_all(conflicts: Graph, current: Mapping[str, int], colours: list[int]) -> int | None:
    """Return the fewest changes of all possible colourings; None if there is none."""
    names = sorted(conflicts)
    costs = [
        sum(current.get(name) != colour for name, colour in zip(names, tried, strict=True))
        for tried in product(colours, repeat=len(names))
        for given_ in [dict(zip(names, tried, strict=True))]
        if all(given_[one] != given_[other] for one in names for other in conflicts[one])
    ]
    return min(costs, default=None)


def test_what_has_no_conflict_stays() -> None:
    """Nothing is changed that need not be."""
    found = recolour(graph("abc", "ab", "bc"), {"a": 1, "b": 2, "c": 1}, dict.fromkeys("abc", (1, 2, 3)))

    assert found == Coloured({"a": 1, "b": 2, "c": 1}, 0, 0)


def test_the_one_in_the_middle_changes() -> None:
    """One change removes three conflicts."""
    star = graph("abcd", "ab", "ac", "ad")
    found = recolour(star, dict.fromkeys("abcd", 5), dict.fromkeys("abcd", (5, 6)))

    assert found == Coloured({"a": 6, "b": 5, "c": 5, "d": 5}, 1, 1)


def test_too_few_colours() -> None:
    """Three that all interfere with each other need three."""
    triangle = graph("abcx", "ab", "bc", "ac")
    found = recolour(triangle, dict.fromkeys("abcx", 1), dict.fromkeys("abcx", (1, 2)))

    assert found == Impossible(["a", "b", "c"], proven=True)


def test_a_search_that_is_stopped_says_so() -> None:
    """Without any time for it, nothing is found and nothing is proven."""
    names = "abcdefgh"
    complete = graph(names, *("".join(pair) for pair in combinations(names, 2)))
    found = recolour(complete, dict.fromkeys(names, 1), dict.fromkeys(names, range(1, 9)), most_seconds=0)

    assert isinstance(found, Impossible)
    assert not found.proven


def test_of_equals_the_first_is_preferred() -> None:
    """The order of the allowed colours decides between colourings with equally many changes."""
    found = recolour(graph("ab", "ab"), {"a": 1, "b": 1}, {"a": (1,), "b": (1, 9, 4, 7)})

    assert isinstance(found, Coloured)
    assert found.colours == {"a": 1, "b": 9}


@pytest.mark.parametrize("small", ["a", "b"])
def test_of_two_the_smaller_changes(small: str) -> None:
    """Whatever they are called, and whichever has the colour that is preferred."""
    sizes = {"a": 4, "b": 4, small: 3}
    found = recolour(graph("ab", "ab"), {"a": 5, "b": 5}, {"a": (7, 1, 5), "b": (5, 1, 7)}, sizes)

    assert isinstance(found, Coloured)
    assert [name for name in "ab" if found.colours[name] != 5] == [small]


def test_fewer_changes_come_before_smaller_ones() -> None:
    """Four small ones would have to give way to a large one in their middle."""
    star = graph("abcde", "ab", "ac", "ad", "ae")
    found = recolour(star, dict.fromkeys("abcde", 5), dict.fromkeys("abcde", (5, 6)), {"a": 900, "b": 1})

    assert isinstance(found, Coloured)
    assert (found.colours["a"], found.changed, found.fewest) == (6, 1, 1)


def test_the_solver_is_silent(capfd: pytest.CaptureFixture[str]) -> None:
    """What it prints by itself would come before reports."""
    recolour(graph("ab", "ab"), {"a": 1, "b": 1}, dict.fromkeys("ab", (1, 2)))

    assert capfd.readouterr() == ("", "")


@settings(max_examples=60)
@given(
    edges=st.sets(st.sampled_from([f"{a}{b}" for a, b in combinations("abcdef", 2)])),
    current=st.lists(st.sampled_from([1, 2, 3, 9]), min_size=6, max_size=6),
)
def test_no_other_colouring_changes_fewer(edges: set[str], current: list[int]) -> None:
    """Compared with all colourings: six vertices, three colours, some with a colour that is not allowed."""
    conflicts, before = graph("abcdef", *edges), dict(zip("abcdef", current, strict=True))
    found = recolour(conflicts, before, dict.fromkeys("abcdef", (1, 2, 3)))
    fewest = fewest_by_trying_all(conflicts, before, [1, 2, 3])

    if fewest is None:
        assert isinstance(found, Impossible)
    else:
        assert isinstance(found, Coloured)
        assert (found.changed, found.fewest) == (fewest, fewest)
        assert all(
            found.colours[one] != found.colours[other] for one in conflicts for other in conflicts[one]
        )
