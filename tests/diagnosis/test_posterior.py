"""Bayes' rule over the causes: errors, floors, and what no evidence can do."""

from __future__ import annotations

from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.diagnosis.posterior import factor, found_by, likelihoods, posterior
from audit.model.joining import Answer, Check, Question
from tests.diagnosis.sites import our_causes

CAUSES = our_causes()
IDS = [cause.id for cause in CAUSES.causes]
PRIOR = {cause.id: cause.never_joined / 100 for cause in CAUSES.causes}
ANSWERS = CAUSES.answers()

evidence = st.lists(
    st.tuples(st.sampled_from(sorted(ANSWERS)), st.floats(0.001, 0.5)), max_size=len(CAUSES.questions)
)


def told(name: str, error: float) -> dict[str, float]:
    """Return the likelihoods of an answer."""
    return likelihoods(*ANSWERS[name], IDS, error)


def test_one_piece_of_evidence_by_hand() -> None:
    """Two causes, even odds, 0.8 against 0.2: 0.8 and 0.2 remain."""
    assert posterior({"a": 0.5, "b": 0.5}, [{"a": 0.8, "b": 0.2}]) == pytest.approx({"a": 0.8, "b": 0.2})


def test_no_evidence_leaves_the_weights() -> None:
    """Nothing known changes nothing."""
    assert posterior(PRIOR, []) == pytest.approx(PRIOR)


def test_a_reading_that_is_wrong_one_time_in_ten() -> None:
    """0.9 × 0.9 + 0.1 × 0.1 if it is so nine times in ten, 0.9 × 0.1 + 0.1 × 0.9 if one time in ten."""
    yes = Answer(id="yes", words="yes", usual=0.1, under={"a": 0.9})
    no = Answer(id="no", words="no", usual=0.9, under={"a": 0.1})
    question = Question(id="q", asks="?", answers=(yes, no))

    assert likelihoods(question, yes, ["a", "b"], 0.1) == pytest.approx({"a": 0.82, "b": 0.18})


@given(st.sampled_from(CAUSES.questions), st.floats(0.001, 0.5))
def test_what_is_told_adds_up_to_one(question: Question, error: float) -> None:
    """Errors move chances between the answers of a question, and lose none."""
    for cause in IDS:
        chances = [likelihoods(question, answer, [cause], error)[cause] for answer in question.answers]
        assert isclose(sum(chances), 1)


@given(evidence)
def test_no_cause_becomes_certain_or_impossible(pieces: list[tuple[str, float]]) -> None:
    """However much speaks for one cause, all others stay possible."""
    now = posterior(PRIOR, [told(*piece) for piece in pieces])

    assert all(0 < chance < 1 for chance in now.values())
    assert isclose(sum(now.values()), 1)


@given(evidence, st.randoms())
def test_the_order_of_evidence_does_not_count(pieces: list[tuple[str, float]], chance: object) -> None:
    """The same things known in another order give the same probabilities."""
    shuffled = list(pieces)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]

    one, other = (posterior(PRIOR, [told(*piece) for piece in some]) for some in (pieces, shuffled))

    assert one == pytest.approx(other)


@given(st.sampled_from(sorted(ANSWERS)), st.sampled_from(IDS))
def test_what_is_likelier_under_a_cause_raises_it(name: str, cause: str) -> None:
    """A factor above one and a raised probability say the same thing."""
    chances = told(name, 0.02)
    raised = posterior(PRIOR, [chances])[cause] / PRIOR[cause]

    assert (factor(cause, PRIOR, chances) > 1 + 1e-9) == (raised > 1 + 1e-9)


def test_the_two_outcomes_of_a_check_add_up_to_one() -> None:
    """A check finds something or it does not, whatever the cause."""
    check: Check = CAUSES.checks[0]

    both = [found_by(check, IDS, found=found) for found in (True, False)]

    assert {cause: both[0][cause] + both[1][cause] for cause in IDS} == pytest.approx(dict.fromkeys(IDS, 1.0))
