"""The order of checks against the published rule and all possible orders; the update against scipy.

Sources: J. B. Kadane and H. A. Simon, Optimal strategies for a class of constrained sequential problems,
1977 (year from memory); D. Heckerman, J. S. Breese and K. Rommelse, Decision-theoretic troubleshooting,
CACM 38(3), 1995 (pages from memory): with one fault, independent costs and perfect repairs, the order by
probability ÷ cost has the least expected cost of repair, Σ Cᵢ × (1 − Σ pⱼ of all before it).
"""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.diagnosis.order import Option, Order, best_order, by_ratio, expected_minutes
from audit.diagnosis.weights import dirichlet_mean

WORKED = {"batt": (0.40, 10), "chan": (0.30, 4), "addr": (0.20, 1), "ant": (0.10, 8)}
"""An example of our own, cause → probability and cost; its 24 orders were compared by hand and by machine."""
P = {name: p for name, (p, _) in WORKED.items()}
ACTIONS = {name: Option(name, cost, {name: 1.0}) for name, (_, cost) in WORKED.items()}


def cost_of_repair(order: tuple[str, ...]) -> float:
    """Return Σ Cᵢ × (1 − Σ pⱼ of all before it), as the papers give it."""
    return sum(WORKED[name][1] * (1 - sum(P[before] for before in order[:n])) for n, name in enumerate(order))


def test_the_worked_example() -> None:
    """By p ÷ C: addr .2, chan .075, batt .04, ant .0125, at 10.0; next best 10.5, worst 19.2."""
    order = best_order(P, [ACTIONS[name] for name in sorted(P)], [], 0)
    costs = sorted(cost_of_repair(one) for one in permutations(P))

    assert [option.id for option in order.before] == ["addr", "chan", "batt", "ant"]
    assert expected_minutes(P, order) == pytest.approx(10.0)
    assert [costs[0], costs[1], costs[-1]] == pytest.approx([10.0, 10.5, 19.2])


def test_the_most_probable_first_costs_more() -> None:
    """Ordering by probability alone costs 13.5 in the worked example."""
    by_probability = Order(tuple(ACTIONS[name] for name in ("batt", "chan", "addr", "ant")), (), (), 0)

    assert expected_minutes(P, by_probability) == pytest.approx(13.5)
    assert cost_of_repair(("batt", "chan", "addr", "ant")) == pytest.approx(13.5)


@given(st.floats(0.01, 0.99), st.floats(0.1, 100), st.floats(0.1, 100))
def test_two_causes(p: float, first: float, second: float) -> None:
    """Of two causes, the first is checked first if C₁ ÷ p < C₂ ÷ (1 − p); textbook exercise."""
    if abs(first / p - second / (1 - p)) < 1e-6:
        return
    options = [Option("a", first, {"a": 1.0}), Option("b", second, {"b": 1.0})]

    order = best_order({"a": p, "b": 1 - p}, options, [], 0)

    assert (order.before[0].id == "a") == (first / p < second / (1 - p))


chances = st.lists(st.floats(0.01, 1), min_size=1, max_size=6)


@given(chances, st.data())
@settings(max_examples=60)
def test_the_rule_is_best_of_all_orders_where_its_assumptions_hold(
    found: list[float], data: st.DataObject
) -> None:
    """With one perfect check for each cause, and no travel, the rule, the search and all orders agree."""
    p = {str(n): weight / sum(found) for n, weight in enumerate(found)}
    options = [Option(name, data.draw(st.floats(0.5, 60)), {name: 1.0}) for name in p]

    least = min(expected_minutes(p, Order(order, (), (), 0)) for order in permutations(options))

    assert expected_minutes(p, by_ratio(p, options, [], 0)) == pytest.approx(least)
    assert expected_minutes(p, best_order(p, options, [], 0)) == pytest.approx(least)


causes = st.dictionaries(st.sampled_from("abcde"), st.floats(0.02, 0.98), min_size=1)


def drawn(data: st.DataObject, count: int, name: str) -> list[Option]:
    """Return checks that may find several causes, none of them for certain."""
    return [Option(f"{name}{n}", data.draw(st.floats(1, 60)), data.draw(causes)) for n in range(count)]


@given(st.integers(0, 4), st.integers(0, 3), st.floats(0, 120), st.data())
@settings(max_examples=60)
def test_the_search_is_best_of_all_orders_with_one_trip(
    desk: int, site: int, travel: float, data: st.DataObject
) -> None:
    """With checks that overlap and one trip shared by them, no order takes fewer minutes."""
    weights = [data.draw(st.floats(0.01, 1)) for _ in "abcde"]
    p = {name: weight / sum(weights) for name, weight in zip("abcde", weights, strict=True)}
    at_desk, at_site = drawn(data, desk, "desk"), drawn(data, site, "site")

    least = min(
        expected_minutes(p, Order(d[:n], s, d[n:], travel))
        for d in permutations(at_desk) for s in permutations(at_site) for n in range(desk + 1)
    )  # fmt: skip
    found = best_order(p, at_desk, at_site, travel)

    assert expected_minutes(p, found) == pytest.approx(least)
    assert sorted(o.id for o in found.checks) == sorted(o.id for o in (*at_desk, *at_site))


def test_where_its_assumptions_do_not_hold_the_rule_may_miss_the_best() -> None:
    """Checks that find the same causes, and shared costs, are such cases (abstract of arXiv 1203.3502).

    The rule prefers the quicker look at `a`, which the longer one makes superfluous.
    """
    p = {"a": 3 / 7, "b": 2 / 7, "c": 2 / 7}
    desk = [Option("long", 40, {"a": 1.0, "c": 1.0}), Option("quick", 30, {"a": 1.0, "c": 0.5})]
    site = [Option("there", 10, {"b": 1.0})]

    best, rule = best_order(p, desk, site, 60), by_ratio(p, desk, site, 60)

    assert (expected_minutes(p, best), expected_minutes(p, rule)) == pytest.approx((60, 65.714), abs=0.001)
    assert (best.before[0].id, rule.before[0].id) == ("long", "quick")


@given(
    st.lists(st.tuples(st.floats(0.01, 1), st.integers(0, 50)), min_size=2, max_size=11),
    st.floats(1, 500),
)
def test_the_update_against_scipy(parts: list[tuple[float, int]], strength: float) -> None:
    """Judgement and counts together give the mean of scipy's Dirichlet distribution."""
    from scipy.stats import dirichlet

    total = sum(share for share, _ in parts)
    prior = {str(n): share / total for n, (share, _) in enumerate(parts)}
    counts = {str(n): float(count) for n, (_, count) in enumerate(parts)}

    found = dirichlet_mean(prior, strength, counts)
    reference = dirichlet([strength * prior[name] + counts[name] for name in prior]).mean()

    assert list(found.values()) == pytest.approx(list(reference))


def test_the_update_is_bayes_rule() -> None:
    """Shares drawn from scipy's Dirichlet, weighted by the multinomial likelihood, average to the update."""
    import numpy as np
    from scipy.stats import dirichlet, multinomial

    prior, strength, counts = {"a": 0.5, "b": 0.3, "c": 0.2}, 20.0, {"a": 2.0, "b": 7.0, "c": 1.0}
    shares = dirichlet([strength * share for share in prior.values()]).rvs(200_000, random_state=1)
    weights = multinomial.pmf(
        [int(n) for n in counts.values()], 10, shares / shares.sum(axis=1, keepdims=True)
    )
    average = np.average(shares, axis=0, weights=weights)

    assert list(dirichlet_mean(prior, strength, counts).values()) == pytest.approx(list(average), abs=0.003)
