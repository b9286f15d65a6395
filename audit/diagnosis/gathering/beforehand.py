"""What was read before a node was lost: it had joined like that, so this is no sign of what keeps it out."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import replace

from audit.diagnosis.evidence import Answered
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.since import last_heard
from audit.diagnosis.missing import lost_between
from audit.reading.moments import FARTHEST_OFFSET

BEFORE = "; that was before it was lost"


def unless_beforehand(case: Case, told: Answered, times: Iterable[datetime.datetime | None]) -> Answered:
    """Return an answer that nothing was wrong; it has no weight if all it rests on was read beforehand.

    `times` are those of the readings, at least one; what is not dated may have been read since. It was read
    beforehand if its own gateway has heard it since, or it was not known by then to be lost; where some times
    state their offset and others do not, only if it was so by any clock.
    """
    last, _ = last_heard(case)
    lost = lost_between(case)
    apart = FARTHEST_OFFSET if case.examined.several_clocks else datetime.timedelta()

    def beforehand(at: datetime.datetime) -> bool:
        heard_since = at.date() < last.date() and last - at >= apart
        return heard_since or (lost is not None and lost[1] - at >= apart)

    if all(at is not None and beforehand(at) for at in times):
        return replace(told, words=told.words + BEFORE, beforehand=True)
    return told
