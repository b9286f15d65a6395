"""A node that a change record moved to another gateway: it is to match that one, and not its planned one."""

from __future__ import annotations

from collections.abc import Callable

from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.records import moved_away

Gatherer = Callable[[Case], Answered | NotKnown | None]
"""What answers a question from the files."""


def unless_moved(gatherer: Gatherer, what: str, case: Case) -> Answered | NotKnown | None:
    """Return an answer that holds the node against its planned gateway; not known if the node was moved away.

    `what` is the question in words; if empty, it does not arise then.
    """
    moved = moved_away(case)
    if moved is None:
        return gatherer(case)
    to = f"it was moved to {moved.after} on {moved.change.date} by change {moved.change.id}"
    return NotKnown(f"{what}: {to}") if what else None
