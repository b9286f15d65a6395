"""What is known of a node: an answer to a question, where it stands, and how often such a thing is wrong."""

from __future__ import annotations

from dataclasses import dataclass

from audit.model.table import Place

MOST_PLACES = 6
"""More places prove nothing more."""


def in_file(name: str) -> Place:
    """Return a whole file as the place of what it says, or leaves out, over many rows."""
    return Place(name, "", 0, "", "", "")


@dataclass(frozen=True, slots=True)
class Told:
    """An answer that the files give, or a person."""

    answer: str
    """Id of the answer, which names its question too."""
    words: str
    """What is the case with this node, in words."""
    places: tuple[Place, ...] = ()
    planned: bool = False
    """Whether it rests on a planned value because the device was not read: that is wrong more often."""
    mend: tuple[str, ...] = ()
    """What was read off plan and is to be set right before anything else is looked for, in words."""
    seen: bool = False
    """Whether a person has said so (`--saw`), and not the files."""


@dataclass(frozen=True, slots=True)
class NotKnown:
    """A question that the files do not answer, and why."""

    words: str
