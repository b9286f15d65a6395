"""Probabilities and counts, in words."""

from __future__ import annotations


def number_of(count: int, word: str) -> str:
    """Return a count with its word: 1 node, 2 nodes."""
    return f"{count:,} {word}" if count == 1 else f"{count:,} {word}s"


def percent(chance: float) -> str:
    """Return a probability in percent; never 0 and never 100, since nothing here is certain."""
    if chance < 0.01:
        return "below 1 %"
    if chance > 0.99:
        return "over 99 %"
    return f"{chance:.0%}".replace("%", " %")
