"""What results say about slips."""

from __future__ import annotations

from audit.model.result import Naming, Side, Slip
from audit.slips.priors import slip_file
from audit.slips.ranking import Ranking


def naming(ranking: Ranking, doubtful: tuple[Side, str] | None) -> Naming | None:
    """Return what to say about a finding's value, None if there is nothing to say."""
    words = ranking.words()
    if not words and doubtful is None:
        return None
    side, reason = doubtful or (None, None)
    return Naming(slips_of(ranking), words or None, side, reason)


def slips_of(ranking: Ranking) -> list[Slip]:
    """Return the slips of a ranking."""
    advice = {slip.id: slip.advice for slip in slip_file().slips}
    return [
        Slip(
            id=slip.id,
            words=slip.words,
            probability=round(slip.probability, 4),
            likely=slip is ranking.likely,
            advice=advice[slip.id],
        )
        for slip in ranking.slips
    ]
