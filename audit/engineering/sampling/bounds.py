"""How many defective nodes there can still be, after a sample: upper confidence bounds, one-sided.

A bound holds for a sample drawn at random. It says nothing of nodes that were chosen for a reason.
"""

from __future__ import annotations

from fractions import Fraction

from audit.engineering.sampling.chance import at_most, at_most_of_many

STEPS = 2**30
"""A bound on a fraction is rounded up to the next of so many steps: to less than a billionth."""


def most_defective(found: int, size: int, lot: int, confidence: Fraction) -> int:
    """Return the most defective nodes that a lot can hold, with the confidence given.

    It is the largest number of defective nodes at which a sample of `size` would still show at most
    `found` of them with a chance above 1 - confidence: the exact bound for a finite lot (hypergeometric
    distribution; J. Buonaccorsi, A Note on Confidence Intervals for Proportions in Finite Populations,
    1987, cited from memory).
    """
    low, high = found, lot - (size - found)  # the good nodes that were read are good
    while low < high:
        middle = (low + high + 1) // 2
        if at_most(found, size, middle, lot) > 1 - confidence:
            low = middle
        else:
            high = middle - 1
    return low


def clopper_pearson_upper(found: int, size: int, confidence: Fraction) -> Fraction:
    """Return the upper bound on the fraction defective of a lot without end, rounded up.

    C. J. Clopper and E. S. Pearson, The Use of Confidence or Fiducial Limits Illustrated in the Case of the
    Binomial, Biometrika 26 (1934), cited from memory: the fraction at which at most `found` of `size` are
    defective with the chance 1 - confidence. It takes no account of the lot's end.
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
