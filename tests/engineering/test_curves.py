"""Curves: straight lines between points, and nothing beyond them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.curves import at
from tests.engineering.numbers import PARTS, between

COLD = [(-40.0, 0.5), (0.0, 0.8), (25.0, 1.0)]


def test_between_and_at_the_points() -> None:
    """Invented shares of capacity by temperature."""
    assert [at(COLD, x) for x in (-40, 0, 25)] == [0.5, 0.8, 1.0]
    assert at(COLD, -20) == pytest.approx(0.65)
    assert at(COLD, 12.5) == pytest.approx(0.9)


@pytest.mark.parametrize("x", [-41, 25.01, float("nan"), float("inf")])
def test_nothing_is_extrapolated(x: float) -> None:
    """The message says how far the curve goes."""
    with pytest.raises(ValueError, match="outside the curve, which goes from -40 to 25"):
        at(COLD, x)


@given(
    ys=st.lists(between(-10, 10), min_size=2, max_size=8), share=PARTS,
)  # fmt: skip
def test_a_curve_stays_within_its_points(ys: list[float], share: float) -> None:
    """No value is beyond the greatest or least of them."""
    curve = [(float(x), y) for x, y in enumerate(ys)]
    assert min(ys) - 1e-9 <= at(curve, share * (len(ys) - 1)) <= max(ys) + 1e-9


@pytest.mark.parametrize(
    ("curve", "says"),
    [
        ([], "0 points"),
        ([(1.0, 1.0)], "1 points"),
        ([(1.0, 1.0), (1.0, 2.0)], "rising order"),
        ([(2.0, 1.0), (1.0, 2.0)], "rising order"),
        ([(1.0, float("nan")), (2.0, 2.0)], "finite"),
    ],
)
def test_what_is_no_curve(curve: list[tuple[float, float]], says: str) -> None:
    """Each says why."""
    with pytest.raises(ValueError, match=says):
        at(curve, 1)
