"""Tables of slips: the words for every value that a slip could make of a plan, worked out in advance."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from audit.model.device import Setting
from audit.model.value import Value
from audit.reading.values import plain
from audit.slips.around import ALONE, Around, Key
from audit.slips.case import Case, Reach, case_of
from audit.slips.chance import legal_count
from audit.slips.ranking import ranking_of, scored

MOST_ENTRIES = 300
"""Most values in one table. If slips could make more, those with the lowest odds are left out."""
MOST_OF_A_SPAN = 250


def tabulated(setting: Setting, planned: Value, around: Around = ALONE) -> dict[str, str]:
    """Return found value → the words of its ranking, for every value that some slip could yield.

    Numbers are written without exponent, plus sign or needless zeros (78, 0.5, -3), options and identifiers
    as they are, flags as on and off. Left out are values about which nothing would be said, texts that are
    not values of the setting, what only a spreadsheet makes (dates), identifiers with more than one
    look-alike character, and the least probable values beyond 300. Empty for access codes.
    """
    case = case_of(setting, planned, around)
    if case is None or not planned.read:
        return {}
    slips = scored(case)
    keys = dict.fromkeys(key for one in slips for key in _listed(case, one.reach))
    legal = legal_count(case)
    rankings = ((key, ranking_of(case, slips, legal, key)) for key in keys)
    named = [(key, ranking, words) for key, ranking in rankings if (words := ranking.words())]
    named.sort(key=lambda one: -one[1].slips[0].probability)
    return {_text(key): words for key, _, words in named[:MOST_ENTRIES]}


def _listed(case: Case, reach: Reach) -> Iterator[Key]:
    yield from reach.values
    for span in reach.spans:
        first, last = case.bounds(span)
        for step in range(first, min(last, first + MOST_OF_A_SPAN) + 1):
            if case.legal(step * case.grid):
                yield step * case.grid


def _text(key: Key) -> str:
    if isinstance(key, bool):
        return "on" if key else "off"
    return plain(key) if isinstance(key, Decimal) else key
