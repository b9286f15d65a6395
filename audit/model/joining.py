"""Causes of a node not joining: their weights, the evidence for them, and what to check."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from math import isclose
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.errors import nearest
from audit.model.base import Id, Name, Written, repeated

Points = Annotated[float, Field(gt=0, le=100)]
Chance = Annotated[float, Field(gt=0, lt=1)]
"""Neither 0 nor 1: nothing that was read or seen makes a cause certain, or rules it out."""
Minutes = Annotated[float, Field(gt=0, le=1440)]


class Cause(Written):
    """One reason why a node does not join its gateway."""

    id: Id
    title: Name
    """What is wrong, in words that follow on from 'most probably:'."""
    never_joined: Points
    """Of a hundred nodes that have never joined, how many are expected to have this cause."""
    was_joined: Points
    """The same for nodes that had joined before."""
    remedy: Name
    take: tuple[Name, ...] = ()
    """What to take to the node to correct it."""


class Answer(Written):
    """One answer to a question, and how often it is given under each cause. `--saw` takes its id."""

    id: Id
    words: Name
    """The answer in words, as a statement of fact."""
    usual: Chance
    """How often this is so under a cause that `under` does not name."""
    under: dict[Id, Chance] = {}
    """Cause → how often this is so under that cause."""

    def chance(self, cause: str) -> float:
        """Return how often this is so under a cause."""
        return self.under.get(cause, self.usual)


class Question(Written):
    """A question about a node; for every cause, the chances of its answers add up to one."""

    id: Id
    asks: Name
    error: Chance | None = None
    """How often an answer to it is wrong, if this differs from the share for readings in general."""
    answers: Annotated[tuple[Answer, ...], Field(min_length=2)]


class Check(Written):
    """Something to do that may find the cause."""

    id: Id
    title: Name
    where: Literal["desk", "site", "gateway"]
    """At the desk, at the node, or at its gateway; travel to the gateway counts for this check alone."""
    minutes: Minutes
    """Minutes that it takes; travel to the node is added once for all checks there."""
    finds: Annotated[dict[Id, Chance], Field(min_length=1)]
    """Cause → how often the check finds it if it is the cause."""
    false_alarm: Chance
    """How often it seems to find one of these although the cause is another."""
    answered_by: tuple[Id, ...] | dict[Id, tuple[Id, ...]] = ()
    """Questions that it answers, or single answers; once all are known, the check need not be done.

    If causes are given for each: those that it finds by that one alone, and no longer once that is known.
    For a check at the node or gateway, what was read before the node was lost does not count as an answer.
    """
    how: Name
    take: tuple[Name, ...] = ()
    """What has to be taken along for it."""

    def left(self, known: Set[str]) -> dict[Id, float]:
        """Return what it can still find once some questions and answers are known; if empty, it is done."""
        waiting = [name for name in self.answered_by if name not in known]
        if self.answered_by and not waiting:
            return {}
        by = self.answered_by if isinstance(self.answered_by, dict) else {}
        open_ = {cause for name in waiting for cause in by.get(name, ())}
        gone = {cause for name in by if name in known for cause in by[name]} - open_
        return {cause: chance for cause, chance in self.finds.items() if cause not in gone}


class Errors(Written):
    """How often what is written down is wrong."""

    readback: Chance
    """A reading, or a row of a list."""
    not_read: Chance
    """A planned value used in place of one that was not read."""


class Limits(Written):
    """The limits from which something counts as evidence."""

    silent_intervals: Annotated[float, Field(gt=0)]
    """A node is silent after this many report intervals."""
    silent_minutes: Minutes
    """The same, in minutes, if its report interval is not known."""
    volts_fall_percent: Annotated[float, Field(gt=0, lt=100)]
    """A battery's voltage has fallen if it is at least this far below its highest reading."""
    signal_step_db: Annotated[float, Field(gt=0)]
    """A signal has dropped if it is at least this much weaker than at the reading before."""
    signal_step_days: Annotated[float, Field(gt=0)] = 7
    """If two readings are more days apart than this, a weaker signal does not count as a sudden drop."""
    signal_slide_db: Annotated[float, Field(gt=0)]
    """A signal has slid if it is at least this much weaker than at the first of three or more readings."""
    margin_db: Annotated[float, Field(gt=0)]
    """A link is weak if its signal is less than this above the sensitivity."""
    missing_db: Annotated[float, Field(gt=0)]
    """A path is odd if the signal is more than this below that expected in free space."""
    recent_days: Annotated[float, Field(gt=0)]
    """Work is recent if done within this many days before the newest reading."""


class Travel(Written):
    """Travel to the node and back."""

    minutes: Annotated[float, Field(ge=0, le=10080)]
    """Used unless `--travel` or `--start` says otherwise."""
    km_per_hour: Annotated[float, Field(gt=0)]
    """Travelling speed from a stated start."""
    detour: Annotated[float, Field(ge=1)]
    """How many times longer the road is than the straight line."""


class CausesFile(Written):
    """All causes, questions and checks, and the numbers used to calculate with them."""

    asfound: Literal["joining-causes/1"]
    """Marks the file as causes of nodes that do not join, format 1."""
    version: Name
    basis: Name
    """What the numbers are based on."""
    worth: Annotated[float, Field(gt=0)]
    """How many recorded calls the weights count as: the strength of the prior, as Dirichlet counts."""
    floor: Chance
    """No answer is rarer than this under any cause."""
    settled_from: Chance
    """A cause is called settled from this probability upwards."""
    errors: Errors
    limits: Limits
    travel: Travel
    causes: Annotated[tuple[Cause, ...], Field(min_length=2)]
    questions: Annotated[tuple[Question, ...], Field(min_length=1)]
    checks: Annotated[tuple[Check, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _ids_once(self) -> Self:
        answers = [answer.id for question in self.questions for answer in question.answers]
        for what, names in (
            ("cause", [cause.id for cause in self.causes]),
            ("question", [question.id for question in self.questions]),
            ("answer", answers),
            ("check", [check.id for check in self.checks]),
        ):
            if twice := repeated(names):
                raise ValueError(f"{what} {twice!r} is given twice -- rename one of them")
        return self

    @model_validator(mode="after")
    def _weights_of_a_hundred(self) -> Self:
        for name in ("never_joined", "was_joined"):
            total = sum(getattr(cause, name) for cause in self.causes)
            if not isclose(total, 100, abs_tol=0.01):
                raise ValueError(f"{name} adds up to {total:g} over all causes -- it must be 100")
        return self

    @model_validator(mode="after")
    def _names_known(self) -> Self:
        causes = [cause.id for cause in self.causes]
        questions = [question.id for question in self.questions]
        asked = {*questions, *self.answers()}
        for place, names in self._causes_named():
            for name in names:
                if name not in causes:
                    raise ValueError(f"{place} names the unknown cause {name!r} -- {nearest(name, causes)}")
        for check in self.checks:
            for name in check.answered_by:
                if name not in asked:
                    mend = nearest(name, questions)
                    raise ValueError(f"check {check.id!r} names the unknown question {name!r} -- {mend}")
        return self

    def _causes_named(self) -> Iterator[tuple[str, Iterable[str]]]:
        for question in self.questions:
            for answer in question.answers:
                yield f"answer {answer.id!r}", answer.under
        for check in self.checks:
            yield f"check {check.id!r}", check.finds
            if isinstance(check.answered_by, dict):
                yield f"check {check.id!r}", (name for by in check.answered_by.values() for name in by)

    @model_validator(mode="after")
    def _answers_complete(self) -> Self:
        for question in self.questions:
            for cause in self.causes:
                chances = [answer.chance(cause.id) for answer in question.answers]
                under = f"question {question.id!r} under cause {cause.id!r}"
                if not isclose(sum(chances), 1, abs_tol=1e-6):
                    raise ValueError(f"{under}: its answers add up to {sum(chances):g} -- correct them to 1")
                if min(chances) < self.floor:
                    raise ValueError(f"{under}: an answer is rarer than the floor {self.floor:g} -- raise it")
        return self

    def answers(self) -> dict[str, tuple[Question, Answer]]:
        """Return answer id → its question and the answer."""
        return {answer.id: (q, answer) for q in self.questions for answer in q.answers}
