"""The chance of drawing a given sample, in exact fractions.

Whole numbers and fractions throughout: in binary floating point `1 - 0.95` is not 0.05, and the
last digit would decide whether a plan that meets its confidence exactly is accepted.
"""

from __future__ import annotations

from fractions import Fraction
from math import comb


def at_most(found: int, size: int, defective: int, lot: int) -> Fraction:
    """Return the chance of drawing at most `found` of the defective nodes of a lot.

    The sample of `size` nodes is drawn from the `lot` at random without replacement: the hypergeometric
    distribution (any textbook; NIST/SEMATECH e-Handbook, 6.2, cited from memory).
    """
    size, defective = sorted((size, defective))  # symmetric in the two, and faster this way
    least = max(0, size - (lot - defective))
    if found < least:
        return Fraction(0)
    ways = term = comb(defective, least) * comb(lot - defective, size - least)
    for drawn in range(least, min(found, size)):
        term = term * (defective - drawn) * (size - drawn)
        term //= (drawn + 1) * (lot - defective - size + drawn + 1)  # no remainder: the next term is whole
        ways += term
    return Fraction(ways, comb(lot, size))


def at_most_of_many(found: int, size: int, fraction: Fraction) -> Fraction:
    """Return the same for an infinite lot of which `fraction` is defective: the binomial distribution."""
    bad, whole = fraction.numerator, fraction.denominator
    good = whole - bad
    most = min(found, size)
    ways = 0
    for drawn in range(most + 1):
        ways = ways * good + comb(size, drawn) * bad**drawn
    return Fraction(ways * good ** (size - most), whole**size)
