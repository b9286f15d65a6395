"""The numbers that formulas accept: checks with one message each; and rounding to whole numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil, floor, isfinite

ROUNDING = 1e-9
"""Share by which a quotient may miss a whole number through binary rounding alone: 1.1 ÷ 0.1."""


def finite(**numbers: float) -> None:
    """Raise ValueError if a number is infinite or not a number."""
    for name, number in numbers.items():
        if not isfinite(number):
            raise ValueError(f"{name} is {number:g} -- give a finite number")


def positive(**numbers: float) -> None:
    """Raise ValueError if a number is not above 0."""
    _check(numbers, lambda number: number > 0, "above 0")


def not_negative(**numbers: float) -> None:
    """Raise ValueError if a number is below 0."""
    _check(numbers, lambda number: number >= 0, "0 or above")


def part(**numbers: float) -> None:
    """Raise ValueError if a number is not from 0 to 1, like a probability or a share."""
    _check(numbers, lambda number: 0 <= number <= 1, "from 0 to 1")


def inner_part(**numbers: float) -> None:
    """Raise ValueError if a number is not between 0 and 1, both excluded."""
    _check(numbers, lambda number: 0 < number < 1, "above 0 and below 1")


def _check(numbers: Mapping[str, float], fits: Callable[[float], bool], what: str) -> None:
    finite(**numbers)
    for name, number in numbers.items():
        if not fits(number):
            raise ValueError(f"{name} is {number:g} -- it has to be {what}")


def count(**numbers: int) -> None:
    """Raise ValueError if a number of things is below 1."""
    for name, number in numbers.items():
        if number < 1:
            raise ValueError(f"{name} is {number} -- there has to be at least 1")


def whole_down(number: float) -> int:
    """Return the greatest whole number not above `number`, ignoring rounding errors."""
    return floor(number + ROUNDING * max(1.0, abs(number)))


def whole_up(number: float) -> int:
    """Return the least whole number not below `number`, ignoring rounding errors."""
    return ceil(number - ROUNDING * max(1.0, abs(number)))
