"""How many nodes to visit, so that a sample that passes shows that few nodes of the lot are defective."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from audit.engineering.sampling.chance import at_most
from audit.errors import stop


def percent(text: str, what: str) -> Fraction:
    """Return a percentage between 0 and 100, both excluded, as an exact fraction. Raises InputProblems."""
    try:
        fraction = Fraction(text.strip().removesuffix("%").strip()) / 100
    except (ValueError, ZeroDivisionError):
        raise stop(f"{what}: {text[:40]!r} is not a percentage", "write it as 95 or 2.5") from None
    if not 0 < fraction < 1:
        raise stop(f"{what}: {text[:40]!r} is not above 0 and below 100", "write it as 95 or 2.5")
    return fraction


def defective_in(lot: int, fraction: Fraction) -> int:
    """Return the fewest defective nodes that make up `fraction` of a lot: 5 % of 41 is 3."""
    return ceil(lot * fraction)


def size_for(lot: int, confidence: Fraction, defective: Fraction, accept: int = 0) -> int:
    """Return the fewest nodes to draw at random from a lot, without replacement.

    If the fraction `defective` or more of the lot is defective, a sample of that size has more than
    `accept` of them with a chance of at least `confidence`. A sample that passes therefore shows, with that
    confidence, that less than that fraction is defective.

    Raises InputProblems if even reading the whole lot could not show it.
    """
    if lot < 1:
        raise stop("there is no node to draw from", "give a lot with nodes in it")
    if accept < 0:
        raise stop(f"the accept number is {accept}", "give 0 or more")
    wanted = defective_in(lot, defective)
    if wanted <= accept:
        share = f"{float(defective * 100):g} % of {lot} nodes is {wanted}"
        mend = "accept fewer, or allow more to be defective"
        raise stop(f"{share}: a sample that accepts {accept} shows nothing about that", mend)
    risk = 1 - confidence
    low, high = accept, min(accept + 1, lot)  # a sample of `accept` always passes
    while at_most(accept, high, wanted, lot) > risk:
        low, high = high, min(2 * high, lot)
    while high - low > 1:
        middle = (low + high) // 2
        if at_most(accept, middle, wanted, lot) > risk:
            low = middle
        else:
            high = middle
    return high
