"""Chance: how many legal values a setting has, for the alternative that a value is wrong at random."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from string import hexdigits

from audit.slips.around import Key
from audit.slips.case import Case, limit

FEWEST = 2.0


def choices(case: Case, key: Key, legal: float) -> float:
    """Return how many values chance could have made, including the one found.

    `legal` is how many legal values there are. For a numeric setting, a text that is not a number could be
    any text of its length.
    """
    if case.numeric and isinstance(key, str):
        return max(float(LETTERS_AND_DIGITS) ** min(len(key), 40), FEWEST)
    return legal


def legal_count(case: Case) -> float:
    """Return how many legal values the setting has.

    A number without limits has as many as the display's field can show, or else as many as there are numbers
    with no more digits than the longest of the plan, the default, the range and the sensor's limits, if these
    are in its unit; it can be negative only if one of these is. An identifier has as many as there are texts
    of its length in its own alphabet: digits, hexadecimal digits, or letters and digits.
    """
    setting = case.setting
    if setting.kind == "flag":
        return 2.0
    if setting.kind == "option":
        return max(float(len(setting.options)), FEWEST)
    if case.numeric:
        return _numbers(case)
    texts = [str(text) for text in (case.plan, case.default) if text is not None]
    alphabet = min(size for size, holds in ALPHABETS if all(map(holds, texts)))
    length = min(setting.digits or max(map(len, texts)), 40)
    return max(float(alphabet) ** length, FEWEST)


LETTERS_AND_DIGITS = 36
ALPHABETS = ((10, str.isdigit), (16, set(hexdigits).issuperset), (LETTERS_AND_DIGITS, bool))
"""Size of an alphabet, and whether a text is written in it."""


def _numbers(case: Case) -> float:
    around = case.around
    ends = () if around.range_unit else (around.range_low.number, around.range_high.number)
    named = [case.plan, case.default, *ends]
    numbers = [number for number in named if isinstance(number, Decimal)]
    numbers += [end for end in map(limit, around.sensor or ()) if end is not None]
    width = len(case.field(max(map(abs, numbers))))
    most = Decimal(10**width - 1).scaleb(-case.places)
    low = -most if min(numbers) < 0 else Decimal(0)
    low = low if case.low is None else case.low
    high = most if case.high is None else case.high
    first, last = low / case.grid, high / case.grid
    steps = last.to_integral_value(ROUND_FLOOR) - first.to_integral_value(ROUND_CEILING) + 1
    return max(float(steps), FEWEST)
