"""Posteriors against exact enumeration: the whole joint distribution, in fractions, and the definition.

Independent of the code under test: P(cause | given answers) = Σ of the joint probabilities that agree with
the given answers and have this cause ÷ Σ of those that agree. The joint distribution is over whether the
node had joined, the cause, the true answer to every question, and the answer that is given.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.diagnosis.asked import Asked
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.posterior import likelihoods, posterior
from audit.diagnosis.weights import mixed
from audit.model.joining import Question
from tests.diagnosis.sites import case_of, our_causes

CAUSES = our_causes()
IDS = [cause.id for cause in CAUSES.causes]
QUESTIONS = {question.id: question for question in CAUSES.questions}


def exact(number: float) -> Fraction:
    """Return a number of the data as the fraction that was written."""
    return Fraction(str(number))


def chance_of_answer(question: Question, known: str, true: str, error: Fraction) -> Fraction:
    """Return how probable it is that an answer is given if another, or the same, is true."""
    return 1 - error if known == true else error / (len(question.answers) - 1)


def enumerated(known: dict[str, str], joined: Fraction, error: Fraction) -> dict[str, Fraction]:
    """Return the probability of each cause, from every way in which the world could be."""
    questions = [QUESTIONS[name] for name in known]
    agreeing = dict.fromkeys(IDS, Fraction(0))
    for cause, was in product(CAUSES.causes, (True, False)):
        weight = exact(cause.was_joined if was else cause.never_joined) / 100
        root = (joined if was else 1 - joined) * weight
        for truth in product(*(question.answers for question in questions)):
            world = root
            for question, answer in zip(questions, truth, strict=True):
                world *= exact(answer.chance(cause.id))
                world *= chance_of_answer(question, known[question.id], answer.id, error)
            agreeing[cause.id] += world
    return {cause: share / sum(agreeing.values()) for cause, share in agreeing.items()}


@st.composite
def some_answers(draw: st.DrawFn) -> dict[str, str]:
    """Draw answers to up to four questions."""
    names = draw(st.lists(st.sampled_from(sorted(QUESTIONS)), unique=True, max_size=4))
    return {name: draw(st.sampled_from(QUESTIONS[name].answers)).id for name in names}


@given(some_answers(), st.sampled_from(["0", "0.5", "0.98", "1"]), st.sampled_from(["0.02", "0.1", "0.3"]))
@settings(max_examples=40)
def test_posteriors_are_those_of_the_joint_distribution(
    known: dict[str, str], joined: str, error: str
) -> None:
    """Posteriors agree with weights mixed, readings sometimes wrong, and several answers known."""
    answers = CAUSES.answers()
    never, was = (
        {cause.id: getattr(cause, field) / 100 for cause in CAUSES.causes}
        for field in ("never_joined", "was_joined")
    )
    prior = mixed(never, was, float(joined))
    chances = [likelihoods(*answers[name], IDS, float(error)) for name in known.values()]

    reference = enumerated(known, Fraction(joined), Fraction(error))

    assert posterior(prior, chances) == pytest.approx({cause: float(p) for cause, p in reference.items()})


@pytest.mark.parametrize("known", [
    {"siblings": "siblings-silent", "work": "recent-work"},
    {"display": "lcd-blank", "season": "cold-snap", "siblings": "siblings-heard"},
    {"attempts": "rejected-attempts", "identity": "serial-differs", "window": "joining-closed"},
])  # fmt: skip
def test_a_whole_diagnosis_is_that_of_the_joint_distribution(tmp_path: Path, known: dict[str, str]) -> None:
    """What the command reports is the enumerated posterior, to the digits that it gives."""
    node = diagnose(case_of(tmp_path), Asked(tuple(known.values())))

    reference = enumerated(known, Fraction(1, 2), exact(CAUSES.errors.readback))

    for cause in node.causes:
        assert cause.posterior == pytest.approx(float(reference[cause.id]), abs=1e-6)
