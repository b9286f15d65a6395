"""How probable each cause is before anything is known of the node: judged weights and recorded calls.

The weights are the mean of a Dirichlet distribution: judgement counts as a stated number of calls, and every
recorded call adds one to its cause. Nodes that had joined and nodes that have never joined have weights of
their own; if it is not known which a node is, the two are mixed.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum

from audit.diagnosis.gathering.work import Past
from audit.model.joining import CausesFile

EVEN = 0.5
"""How probable it is that a node of which nothing is known had joined before. Judgement."""


def dirichlet_mean(
    prior: Mapping[str, float], strength: float, counts: Mapping[str, float]
) -> dict[str, float]:
    """Return (strength × prior + counts) ÷ (strength + all counts): the mean after counting.

    Source: A. Gelman and others, Bayesian Data Analysis, on the multinomial with its conjugate prior;
    from memory, not verified.
    """
    alpha = {cause: strength * share + counts.get(cause, 0) for cause, share in prior.items()}
    total = fsum(alpha.values())
    return {cause: value / total for cause, value in alpha.items()}


def weights(causes: CausesFile, joined: str, counts: Mapping[str, float]) -> dict[str, float]:
    """Return the weights for nodes that had joined (`was`) or have never joined (`never`)."""
    field = "was_joined" if joined == "was" else "never_joined"
    judged = {cause.id: getattr(cause, field) for cause in causes.causes}
    total = fsum(judged.values())
    return dirichlet_mean({cause: w / total for cause, w in judged.items()}, causes.worth, counts)


def chance_joined(past: Past, error: float) -> float:
    """Return how probable it is that the node had joined before."""
    if past.joined == "unknown":
        return EVEN
    certain = 1.0 if past.joined == "was" else 0.0
    return certain if past.stated else abs(certain - error)


def mixed(never: Mapping[str, float], was: Mapping[str, float], joined: float) -> dict[str, float]:
    """Return the weights of a node that had joined before with probability `joined`."""
    return {cause: (1 - joined) * never[cause] + joined * was[cause] for cause in never}
