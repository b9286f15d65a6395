"""Probabilities, sizes and bounds of samples against scipy and against published figures.

scipy.stats (hypergeom, binom, beta) is the reference for every probability; other sources are given
beside each check.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, binom, hypergeom

from audit.engineering.sampling.bounds import clopper_pearson_upper, most_defective
from audit.engineering.sampling.chance import at_most, at_most_of_many
from audit.engineering.sampling.size import percent, size_for
from audit.engineering.sampling.tables import single_plan

HUGE = 10**7
"""A lot so large that its size makes no difference."""
P95 = Fraction(95, 100)


@given(st.integers(1, 3000), st.data())
def test_chances_are_those_of_scipy_hypergeom(lot: int, chance: st.DataObject) -> None:
    """scipy.stats.hypergeom.cdf(k, M, n, N)."""
    defective, size = chance.draw(st.integers(0, lot)), chance.draw(st.integers(0, lot))
    found = chance.draw(st.integers(0, min(defective, size, 20)))

    assert float(at_most(found, size, defective, lot)) == pytest.approx(
        hypergeom.cdf(found, lot, defective, size), rel=1e-7, abs=1e-12
    )


@given(st.integers(1, 500), st.integers(0, 15), st.integers(0, 1000))
def test_chances_in_endless_lots_are_those_of_scipy_binom(size: int, found: int, per_mille: int) -> None:
    """scipy.stats.binom.cdf(k, n, p)."""
    ours = at_most_of_many(found, size, Fraction(per_mille, 1000))

    assert float(ours) == pytest.approx(binom.cdf(found, size, per_mille / 1000), rel=1e-9, abs=1e-12)


@given(st.integers(1, 400), st.sampled_from([80, 90, 95, 99]), st.data())
def test_clopper_pearson_is_that_of_scipy_beta(size: int, confidence: int, chance: st.DataObject) -> None:
    """scipy.stats.beta.ppf(confidence, x + 1, n - x): the Clopper-Pearson bound by the beta distribution."""
    found = chance.draw(st.integers(0, min(size - 1, 20)))
    ours = float(clopper_pearson_upper(found, size, Fraction(confidence, 100)))

    assert ours == pytest.approx(beta.ppf(confidence / 100, found + 1, size - found), abs=2e-9)


@given(st.integers(1, 500), st.sampled_from([80, 90, 95, 99]), st.data())
def test_the_finite_bound_is_that_found_by_scipy_hypergeom(
    lot: int, confidence: int, chance: st.DataObject
) -> None:
    """The bound is that of trying every number of defective nodes.

    Where less than half of the sample is bad, it is never above that of an endless lot.
    """
    size = chance.draw(st.integers(1, lot))
    found = chance.draw(st.integers(0, min(size, 10)))
    ours = most_defective(found, size, lot, Fraction(confidence, 100))
    candidates = range(found, lot - (size - found) + 1)
    by_scipy = {
        margin: max(
            bad for bad in candidates if hypergeom.cdf(found, lot, bad, size) > 1 - confidence / 100 - margin
        )
        for margin in (-1e-9, 1e-9)
    }  # either side of a tie, which floating point decides by its last digit

    assert by_scipy[-1e-9] <= ours <= by_scipy[1e-9]
    endless = clopper_pearson_upper(found, size, Fraction(confidence, 100))
    assert Fraction(ours, lot) <= endless or 2 * found >= size


@pytest.mark.parametrize(
    ("confidence", "good", "size"),
    [
        ("95", 95, 59),
        ("90", 95, 45),
        ("95", 99, 299),
        ("99", 99, 459),
        ("90", 90, 22),
        ("95", 90, 29),
        ("99", 95, 90),
    ],
)
def test_sizes_without_a_failure(confidence: str, good: int, size: int) -> None:
    """The '95/95' figure, 59, and its kin: the least n with good^n at most 1 - confidence."""
    assert size_for(HUGE, percent(confidence, "confidence"), Fraction(100 - good, 100)) == size
    risk = 1 - int(confidence) / 100
    assert (good / 100) ** size < risk < (good / 100) ** (size - 1)


@pytest.mark.parametrize(("accept", "size"), [(0, 59), (1, 93), (2, 124), (3, 153)])
def test_95_95_with_failures(accept: int, size: int) -> None:
    """59, 93, 124, 153 for none to three failures; checked here with scipy.stats.binom."""
    assert size_for(HUGE, P95, Fraction(5, 100), accept) == size
    assert binom.cdf(accept, size, 0.05) <= 0.05 < binom.cdf(accept, size - 1, 0.05)


@pytest.mark.parametrize(
    ("lot", "size"), [(20, 19), (50, 31), (100, 45), (200, 51), (500, 56), (1000, 57), (10000, 59)]
)
def test_95_95_in_finite_lots(lot: int, size: int) -> None:
    """5 % of the lot, rounded up, escape with at most 5 % chance; checked here with scipy.stats.hypergeom."""
    assert size_for(lot, P95, Fraction(5, 100)) == size
    bad = -(-lot * 5 // 100)
    tie = 1e-12  # 1 of 20 escapes 19 draws with a chance of exactly 0.05
    assert hypergeom.pmf(0, lot, bad, size) <= 0.05 + tie
    assert hypergeom.pmf(0, lot, bad, size - 1) > 0.05 + tie


def test_twenty_nine_without_a_failure() -> None:
    """None in 29 shows less than 10 % with 95 %; a finite lot needs fewer: common practice, no source."""
    assert size_for(HUGE, P95, Fraction(10, 100)) == 29
    assert size_for(100, P95, Fraction(10, 100)) < 29


@pytest.mark.parametrize(("trials", "bound"), [(30, 0.095034), (100, 0.029513)])
def test_the_rule_of_three(trials: int, bound: float) -> None:
    """None in n: at most about 3/n. J. A. Hanley, A. Lippman-Hand, JAMA 249 (1983), citation from memory.

    The exact figures were computed; that 300 trials give 1 in 100 and 1,500 give 1 in 500 was read in an
    encyclopedia's excerpt.
    """
    assert float(clopper_pearson_upper(0, trials, P95)) == pytest.approx(bound, abs=1e-6)
    for many, one_in in ((300, 100), (1500, 500)):
        assert float(clopper_pearson_upper(0, many, P95)) == pytest.approx(1 / one_in, rel=0.01)


def test_a_published_plan() -> None:
    """68 are drawn and 2 may be defective: alpha is 0.05 at 0.01213, beta 0.05 at 0.089704.

    A forum of samplingplans.com, 2006, read in an excerpt.
    """
    assert float(at_most_of_many(2, 68, Fraction("0.01213"))) == pytest.approx(0.95, abs=1e-4)
    assert float(at_most_of_many(2, 68, Fraction("0.089704"))) == pytest.approx(0.05, abs=1e-5)
    assert float(clopper_pearson_upper(2, 68, P95)) == pytest.approx(0.089704, abs=1e-6)


def test_an_operating_characteristic_curve() -> None:
    """52 of 10,000 are drawn and 3 may be defective, at 1 to 12 %: calculated with scipy.stats.binom.

    The plan is the example of the NIST/SEMATECH e-Handbook, 6.2.3, from memory, not verified: the page with
    its table was not found. Drawing without replacement differs by 0.001 at most.
    """
    curve = [0.998, 0.980, 0.930, 0.846, 0.738, 0.620, 0.502, 0.394, 0.300, 0.223, 0.162, 0.115]
    for per_cent, passing in enumerate(curve, start=1):
        assert float(at_most_of_many(3, 52, Fraction(per_cent, 100))) == pytest.approx(passing, abs=5e-4)
        assert float(at_most(3, 52, 100 * per_cent, 10_000)) == pytest.approx(passing, abs=1e-3)


@pytest.mark.parametrize(
    ("lot", "points"),
    [
        (500, (0.2997, 0.7154, 1.069, 3.334, 7.558, 9.14)),
        (1000, (0.5505, 1.03, 1.385, 3.329, 6.516, 7.661)),
    ],
)
def test_points_of_the_curves_of_two_plans(lot: int, points: tuple[float, ...]) -> None:
    """AQL 1.0, letters H and J: percent defective at which 99, 95, 90, 50, 10 and 5 % of lots pass.

    Computed with scipy, as points like those of the standard's Tables X, whose own values were not read.
    """
    plan = single_plan(lot, "1.0")
    for passing, quality in zip((0.99, 0.95, 0.90, 0.50, 0.10, 0.05), points, strict=True):
        ours = at_most_of_many(plan.accept, plan.size, Fraction(str(quality)) / 100)
        assert float(ours) == pytest.approx(passing, abs=2e-3)
        assert binom.cdf(plan.accept, plan.size, quality / 100) == pytest.approx(passing, abs=2e-3)
