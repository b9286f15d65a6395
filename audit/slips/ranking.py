"""Ranking: which slips may explain a found value, with odds.

The score of a slip is its prior, divided by the number of legal values that it could make of the plan. The
score of chance is its prior, divided by the number of legal values less one. A probability is a score divided
by the sum of all. Naming a slip never lowers a level and never corrects a value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import prod
from typing import NamedTuple

from audit.model.device import Setting
from audit.model.slips import SlipClass
from audit.model.value import BLANK, Value
from audit.slips import digits, identifiers, neighbours, quantities
from audit.slips.around import ALONE, Around, Key
from audit.slips.case import Case, Reach, case_of, key_of
from audit.slips.chance import choices, legal_count
from audit.slips.priors import slip_file

LEAST_TOLD = 0.1
"""Slips below this probability are not named."""
MOST_TOLD = 3

REACHES: Mapping[str, Callable[[Case], Reach]] = {
    "untouched": neighbours.untouched,
    "not-saved": neighbours.not_saved,
    "digit-left-default": digits.digit_left_default,
    "one-step": digits.one_step,
    "unit-slip": quantities.unit_slip,
    "point-shift": quantities.point_shift,
    "neighbour-row": neighbours.neighbour_row,
    "transposed": digits.transposed,
    "left-justified": digits.left_justified,
    "comma-point": quantities.comma_point,
    "dropped-doubled": digits.dropped_doubled,
    "gauge-absolute": quantities.gauge_absolute,
    "filled-series": neighbours.filled_series,
    "sign-lost": quantities.sign_lost,
    "percent-entered": quantities.percent_entered,
    "pair-reversed": neighbours.pair_reversed,
    "zeros-lost": digits.zeros_lost,
    "look-alike": identifiers.look_alike,
    "date-mangled": identifiers.date_mangled,
    "precision-lost": identifiers.precision_lost,
}
"""Slip → the legal values that it could make of a planned one."""


class Ranked(NamedTuple):
    """A slip that may explain a found value."""

    id: str
    title: str
    probability: float
    words: str
    """What happened, as precisely as it is known."""


@dataclass(frozen=True, slots=True)
class Ranking:
    """The slips that may explain a found value, the most probable first. What is left to 1 is chance."""

    slips: tuple[Ranked, ...] = ()
    likely: Ranked | None = None

    def worth_naming(self) -> list[Ranked]:
        """Return the slips that are worth naming: the likely one, or else the possible ones."""
        if self.likely:
            return [self.likely]
        return [slip for slip in self.slips if slip.probability >= LEAST_TOLD][:MOST_TOLD]

    def words(self) -> str:
        """Return the slips in one line, empty where none fits."""
        named = [f"{slip.words} ({percent(slip.probability)})" for slip in self.worth_naming()]
        lead = "likely slip" if self.likely else "possible slip" if len(named) == 1 else "possible slips"
        return f"{lead}: {'; '.join(named)}" if named else ""


def percent(probability: float) -> str:
    """Return a probability in whole percent; never 100 %, since nothing here is certain."""
    return f"{min(round(100 * probability), 99)} %"


class Scored(NamedTuple):
    """A slip, what it reaches, and its score for each legal value that it reaches."""

    slip: SlipClass
    reach: Reach
    score: float


def rank(setting: Setting, planned: Value, found: Value, around: Around = ALONE) -> Ranking:
    """Return the slips that could turn the planned value into the found one, with their odds.

    A found value that the setting cannot take was never in the device: the slip is in the writing, and the
    setting's limits and steps do not bound what it may have made. Nothing is ranked for access codes, or if
    either value is missing.
    """
    key = key_of(found) if found is not BLANK else None
    case = case_of(setting, planned, around)
    if case is None or key is None or not planned.read or key == case.plan:
        return Ranking()
    if isinstance(key, (Decimal, str)) and found.read and not case.legal(key):
        case = case_of(setting, planned, around, limited=False) or case
    return ranking_of(case, scored(case), legal_count(case), key, converted=found.converted)


def scored(case: Case) -> list[Scored]:
    """Return what each slip could make of a planned value, with its score."""
    file = slip_file()
    no_earlier_reading = not case.around.baseline.read
    further = dict(case.around.further)
    found = []
    for slip in file.slips:
        reach = REACHES[slip.id](case)
        if reach.count:
            prior = slip.prior
            if slip.id == "untouched" and no_earlier_reading:  # a change not saved shows the default
                prior += next(other.prior for other in file.slips if other.id == "not-saved")
            weight = file.each_further ** further.get(slip.id, 0)
            found.append(Scored(slip, reach, prior * weight / reach.count))
    return found


def ranking_of(
    case: Case, slips: list[Scored], legal: float, key: Key, *, converted: bool = False
) -> Ranking:
    """Return the ranking of one value that was found; `legal` is how many values are legal.

    A value that was converted had its unit beside it, so it was not entered in another unit.
    """
    file = slip_file()
    fitting = [
        (one, words)
        for one in slips
        if (words := one.reach.words(key)) is not None and not (converted and one.slip.id == "unit-slip")
    ]
    if not fitting:
        return Ranking()
    chance = file.random / (choices(case, key, legal) - 1)
    total = chance + sum(one.score for one, _ in fitting)
    ranked = sorted(
        (
            Ranked(one.slip.id, one.slip.title, one.score / total, words or one.slip.title)
            for one, words in fitting
        ),
        key=lambda slip: -slip.probability,
    )
    return _with_likely(ranked, chance / total)


def rank_together(rankings: Sequence[Ranking]) -> Ranking:
    """Return the slips that explain all of one or more values at once, with their odds."""
    if len(rankings) == 1:
        return rankings[0]
    odds = [{slip.id: slip.probability for slip in ranking.slips} for ranking in rankings]
    scores = {slip.id: prod(of_one.get(slip.id, 0.0) for of_one in odds) for slip in rankings[0].slips}
    chance = prod(max(1 - sum(of_one.values()), 0.0) for of_one in odds)
    total = chance + sum(scores.values())
    ranked = [slip._replace(probability=scores[slip.id] / total)
              for slip in rankings[0].slips if scores[slip.id]]  # fmt: skip
    if not ranked:
        return Ranking()
    return _with_likely(sorted(ranked, key=lambda slip: -slip.probability), chance / total)


def _with_likely(ranked: Sequence[Ranked], chance: float) -> Ranking:
    """Return a ranking; its most probable slip is likely if nothing else, not even chance, comes near."""
    file, top = slip_file(), ranked[0]
    second = max(chance, ranked[1].probability if len(ranked) > 1 else 0.0)
    likely = top.probability >= file.likely_from and top.probability >= file.likely_times * second
    return Ranking(tuple(ranked), top if likely else None)
