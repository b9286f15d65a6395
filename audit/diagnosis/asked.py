"""What a person says and asks: answers seen, checks tried, the way to the node."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from audit.errors import Problem, nearest, stop_if
from audit.model.joining import CausesFile

Outcome = Literal["found", "not found", "unclear"]


@dataclass(frozen=True, slots=True)
class Tried:
    """A check that was done, and what came of it."""

    check: str
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Asked:
    """What goes into a diagnosis apart from the files."""

    saw: Sequence[str] = ()
    """Ids of answers, which take precedence over what the files say."""
    joined: Literal["never", "was"] | None = None
    travel_minutes: float | None = None
    start: tuple[float, float] | None = None
    """Where the journey to the node begins: metres on the site's grid, or latitude and longitude."""
    tried: Sequence[Tried] = ()
    there: bool = False
    """Whether somebody at the node has reported something, though no check there is finished."""

    def and_saw(self, names: Sequence[str], causes: CausesFile) -> Asked:
        """Return the same with further answers; each replaces an earlier one to its question."""
        answers = causes.answers()
        saw = {answers[name][0].id: name for name in (*self.saw, *names)}
        return replace(self, saw=tuple(saw.values()))

    def and_tried(self, one: Tried) -> Asked:
        """Return the same with the outcome of a check, which replaces an earlier one of that check."""
        return replace(self, tried=(*(other for other in self.tried if other.check != one.check), one))


def check_saw(saw: Sequence[str], causes: CausesFile) -> None:
    """Raise InputProblems for unknown answers, and for two answers to one question."""
    answers = causes.answers()
    problems = [
        Problem(f"--saw: unknown evidence {name!r}", f"{nearest(name, answers)}; --evidence lists all")
        for name in dict.fromkeys(saw) if name not in answers
    ]  # fmt: skip
    given: dict[str, str] = {}
    for name in saw:
        if name in answers:
            question = answers[name][0]
            other = given.setdefault(question.id, name)
            if other != name:
                message = f"--saw: {other} and {name} answer the same question: {question.asks}"
                problems.append(Problem(message, "keep one of them"))
    stop_if(problems)
