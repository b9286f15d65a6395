"""What is known of a node, numbered: the answers to all questions, with their likelihoods."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from audit.diagnosis.asked import Asked, Tried
from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering import GATHERERS
from audit.diagnosis.gathering.afterwards import read_there
from audit.diagnosis.posterior import found_by, likelihoods
from audit.model.joining import CausesFile, Check
from audit.model.table import Place


@dataclass(frozen=True, slots=True)
class Known:
    """One thing that is known, and how probable such a report is under each cause."""

    id: str
    question: str
    """Id of the question, or of the check."""
    words: str
    source: Literal["files", "saw", "check"]
    error: float
    places: tuple[Place, ...]
    likelihoods: Mapping[str, float]
    mend: tuple[str, ...] = ()
    """What was read off plan and is to be corrected first."""
    there: bool = False
    """Whether somebody has seen it, or read it at the node after it was lost."""


@dataclass(frozen=True, slots=True)
class Gathered:
    """What is known of a node, in the order of the questions, and what is not."""

    known: Sequence[Known]
    unknown: Sequence[str]
    """Questions that the files do not answer, and why."""
    moot: frozenset[str]
    """Questions that do not arise at this site, such as those about other gateways if there is only one."""


def gather(case: Case, asked: Asked) -> Gathered:
    """Return what the files and the person say of a node, and what came of the checks."""
    causes = case.causes
    answers = causes.answers()
    said = {answers[name][0].id: name for name in asked.saw}
    known: list[Known] = []
    unknown: list[str] = []
    moot: set[str] = set()
    for question in causes.questions:
        gatherer = GATHERERS.get(question.id)
        by_files = gatherer(case) if gatherer else None
        if question.id in said:
            known.append(_as_known(_seen(said[question.id], by_files, causes), "saw", causes))
        elif isinstance(by_files, Answered):
            if by_files.answer in answers and answers[by_files.answer][0] is question:
                known.append(_as_known(by_files, "files", causes))
        elif isinstance(by_files, NotKnown):
            unknown.append(by_files.words)
        elif gatherer:
            moot.add(question.id)
    rows = {_row(place) for _, place in read_there(case)}
    known = [
        replace(one, there=one.source == "saw" or bool(rows & set(map(_row, one.places)))) for one in known
    ]
    return Gathered([*known, *tried(asked.tried, known, causes)], unknown, frozenset(moot))


def _row(place: Place) -> tuple[str, str, int]:
    return place.file, place.sheet, place.entry


def still_finds(check: Check, known: Sequence[Known]) -> dict[str, float]:
    """Return what a check can still find, given what is known; nothing if it is as good as done."""
    usable = [one for one in known if one.source != "check" and (check.where == "desk" or one.there)]
    return check.left({name for one in usable for name in (one.question, one.id)})


def _seen(answer: str, by_files: Answered | NotKnown | None, causes: CausesFile) -> Answered:
    """Return what a person has seen, with what the files say if that differs."""
    words = causes.answers()[answer][1].words
    if not isinstance(by_files, Answered):
        return Answered(answer, words)
    if by_files.answer != answer:
        words += f"; the files say otherwise: {by_files.words}"
    return Answered(answer, words, by_files.places)


def _as_known(answered: Answered, source: Literal["files", "saw"], causes: CausesFile) -> Known:
    question, answer = causes.answers()[answered.answer]
    error = causes.errors.not_read if answered.planned else question.error or causes.errors.readback
    ids = [cause.id for cause in causes.causes]
    places = tuple(place for place in dict.fromkeys(answered.places) if place.file)
    chances = likelihoods(question, answer, ids, error)
    if answered.beforehand:
        chances = dict.fromkeys(ids, 1.0)
    return Known(answered.answer, question.id, answered.words, source, error, places, chances, answered.mend)


def tried(checks: Sequence[Tried], known: Sequence[Known], causes: CausesFile) -> list[Known]:
    """Return what the outcomes of checks add to what is known; unclear ones add nothing."""
    ids = [cause.id for cause in causes.causes]
    by_id = {check.id: check for check in causes.checks}
    found = []
    for one in checks:
        if one.outcome != "unclear":
            check = by_id[one.check]
            name = f"{check.id}-{one.outcome.replace(' ', '-')}"
            left = check.model_copy(update={"finds": still_finds(check, known)})
            chances = found_by(left, ids, found=one.outcome == "found")
            words = f"{check.title}: {one.outcome}"
            found.append(Known(name, check.id, words, "check", check.false_alarm, (), chances))
    return found
