"""Numbers to draw from: what a site may have, and what no formula takes."""

from __future__ import annotations

from math import inf, nan

from hypothesis import strategies as st


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return floats between two limits, both included."""
    return st.floats(low, high, allow_nan=False)


DISTANCES_M = between(1, 1e5)
FREQUENCIES_MHZ = between(100, 6000)
HEIGHTS_M = between(0.5, 200)
EXPONENTS = between(1.5, 6)
LEVELS_DBM = between(-150, 40)
PARTS = between(0, 1)
INNER_PARTS = between(1e-6, 1 - 1e-6)
SECONDS = between(0.001, 3600)

NOT_POSITIVE = (0, -1, -1e-9, inf, -inf, nan)
NEGATIVE = (-1, -1e-9, inf, -inf, nan)
NOT_A_PART = (-0.01, 1.01, inf, nan)
NOT_FINITE = (inf, -inf, nan)
