"""What is known of a node: an answer to a question, where it is written, and whether a plan is its source."""

from __future__ import annotations

from dataclasses import dataclass

from audit.model.table import Place

MOST_PLACES = 6
"""More places would prove nothing more."""


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer that the files give, or a person."""

    answer: str
    """Id of the answer, which implies its question."""
    words: str
    """What is so of this node, in words."""
    places: tuple[Place, ...] = ()
    planned: bool = False
    """Whether it rests on a planned value because the device was not read: these are wrong more often."""
    mend: tuple[str, ...] = ()
    """What was read off plan and is to be corrected before looking for anything else, in words."""
    beforehand: bool = False
    """Whether it says only how things were before the node was lost, so that it speaks for no cause."""


@dataclass(frozen=True, slots=True)
class NotKnown:
    """A question that the files do not answer, and why."""

    words: str
