"""How many defective nodes there may still be after a sample: one-sided upper confidence bounds.

A bound holds for a sample drawn at random. It says nothing about nodes that were chosen for a reason.
"""

from __future__ import annotations

from fractions import Fraction

from audit.engineering.sampling.chance import at_most, at_most_of_many

STEPS = 2**30
"""A bound on a fraction is rounded up to the next of this many steps: by less than a billionth."""


def most_defective(found: int, size: int, lot: int, confidence: Fraction) -> int:
    """Return the most defective nodes that a lot may have, at a given confidence.

    It is the largest number of defective nodes at which a sample of `size` would still show at most
    `found` of them with a chance above 1 - confidence: the exact bound for a finite lot (hypergeometric
    distribution; J. Buonaccorsi, A Note on Confidence Intervals for Proportions in Finite Populations,
    1987, cited from memory).
    """
    low, high = found, lot - (size - found)  # nodes that were read as good are good
    while low < high:
        middle = (low + high + 1) // 2
        if at_most(found, size, middle, lot) > 1 - confidence:
            low = middle
        else:
            high = middle - 1
    return low


def clopper_pearson_upper(found: int, size: int, confidence: Fraction) -> Fraction:
    """Return the upper bound on the defective fraction of an infinite lot, rounded up.

    C. J. Clopper and E. S. Pearson, The Use of Confidence or Fiducial Limits Illustrated in the Case of the
    Binomial, Biometrika 26 (1934), cited from memory: the fraction at which at most `found` of `size` are
    defective with the chance 1 - confidence. It takes no account of the lot's size.
    """
    if found >= size:
        return Fraction(1)
    low, high = 0, STEPS
    while high - low > 1:
        middle = (low + high) // 2
        if at_most_of_many(found, size, Fraction(middle, STEPS)) > 1 - confidence:
            low = middle
        else:
            high = middle
    return Fraction(high, STEPS)
