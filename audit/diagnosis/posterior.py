"""How probable each cause is, given what is known: weight × likelihoods, divided by their sum.

Every likelihood lies between 0 and 1, so no cause becomes certain or impossible.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum, prod

from audit.model.joining import Answer, Check, Question

Chances = Mapping[str, float]
"""Cause → a probability or likelihood."""


def likelihoods(question: Question, answer: Answer, causes: Sequence[str], error: float) -> dict[str, float]:
    """Return how probable it is under each cause that this answer to a question is reported.

    With probability `error` a wrong answer is reported instead of the true one, each of them equally often,
    so the chances of all answers still add up to one.
    """
    others = len(question.answers) - 1
    chances = {cause: answer.chance(cause) for cause in causes}
    return {cause: (1 - error) * chance + error * (1 - chance) / others for cause, chance in chances.items()}


def found_by(check: Check, causes: Sequence[str], *, found: bool) -> dict[str, float]:
    """Return how probable it is under each cause that a check finds something, or finds nothing."""
    chances = {cause: check.finds.get(cause, check.false_alarm) for cause in causes}
    return {cause: chance if found else 1 - chance for cause, chance in chances.items()}


def posterior(prior: Chances, evidence: Sequence[Chances]) -> dict[str, float]:
    """Return the probability of each cause after independent pieces of evidence (Bayes' rule)."""
    products = {cause: weight * prod(one[cause] for one in evidence) for cause, weight in prior.items()}
    total = fsum(products.values())
    return {cause: product / total for cause, product in products.items()}


def factor(cause: str, prior: Chances, evidence: Chances) -> float:
    """Return how many times more likely evidence is under a cause than under the others.

    The others count by their weights before any evidence. Above 1 the evidence speaks for the cause, below 1
    against it.
    """
    others = [name for name in prior if name != cause]
    weight = fsum(prior[name] for name in others)
    usual = fsum(prior[name] * evidence[name] for name in others) / weight
    return evidence[cause] / usual
