"""Slips: how a value was probably mis-keyed, with odds. A name for a finding, never a correction."""

from audit.slips.around import Around
from audit.slips.ranking import Ranked, Ranking, rank
from audit.slips.table import tabulated

__all__ = ["Around", "Ranked", "Ranking", "rank", "tabulated"]
