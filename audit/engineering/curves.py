"""Curves given by points, as data sheets give them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from audit.engineering.domain import finite

Curve = Sequence[tuple[float, float]]
"""Points (x, y), x rising."""


def check_curve(curve: Curve) -> None:
    """Raise ValueError unless a curve has at least two points and its x rises."""
    if len(curve) < 2:
        raise ValueError(f"a curve of {len(curve)} points cannot be read -- give two or more")
    for x, y in curve:
        finite(x=x, y=y)
    for (x, _), (next_x, _) in pairwise(curve):
        if next_x <= x:
            raise ValueError(f"a curve goes from {x:g} to {next_x:g} -- give its points in rising order")


def at(curve: Curve, x: float) -> float:
    """Return the value of a curve at `x`, interpolated linearly between two points.

    Raises ValueError outside the range of its points: nothing is extrapolated.
    """
    check_curve(curve)
    first, last = curve[0][0], curve[-1][0]
    if not first <= x <= last:
        raise ValueError(f"{x:g} is outside the curve, which goes from {first:g} to {last:g}")
    for (x_0, y_0), (x_1, y_1) in pairwise(curve):
        if x <= x_1:
            share = (x - x_0) / (x_1 - x_0)
            return y_0 * (1 - share) + y_1 * share
    return curve[-1][1]
