"""Which nodes to visit: those with a reason to be visited, and others by chance, from a seed.

The same nodes, terms and seed give the same sample on every machine and in every version of Python: the
nodes are put in the order of a SHA-256 digest, and the first of them are taken. The order in which they
are given makes no difference. Whoever chooses the seed could try seeds until a sample suits; so let
somebody else choose it, or take one that nobody chose, such as the date of the audit.

Nodes with a reason are not part of the draw and do not count for or against the lot: they were not chosen
by chance, so they say nothing about the others. All of them are read, so nothing has to be inferred about
them either.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Literal

from audit.engineering.sampling.size import defective_in, percent, size_for
from audit.engineering.sampling.spreading import allocate, chance_of_none, size_wherever
from audit.engineering.sampling.tables import single_plan
from audit.errors import InputProblems, Problem, nearest, stop, stop_if
from audit.grouping import grouped
from audit.model.sample import (
    AlwaysPlace,
    ConfidenceTerms,
    Place,
    Sample,
    SampledLot,
    Share,
    TableTerms,
)
from audit.sampling.by_chance import Unit, digest, nodes_digest, random_order, unit_of


@dataclass(frozen=True, slots=True)
class _Size:
    """How many to draw from a lot, and what passes."""

    size: int
    accept: int
    reject: int
    letter: str | None = None
    letter_used: str | None = None


def draw(
    units: Iterable[Unit],
    terms: ConfidenceTerms | TableTerms,
    seed: str,
    *,
    site: str,
    always: Mapping[Unit, Sequence[str]] | None = None,
    lot: Literal["site", "network"] = "site",
    spread: Literal["networks", "none"] = "networks",
    plan_revision: str = "",
) -> Sample:
    """Draw a sample. Raises InputProblems with everything that prevents it.

    `always` gives the nodes that are always visited, each with its reasons. With `lot="network"` every
    network is a lot of its own.
    """
    population = sorted(units)
    reasons = dict(always or {})
    _check(population, reasons, terms, seed)
    groups = grouped((site if lot == "site" else unit.network, unit) for unit in population)
    lots, problems = [], []
    for name, members in groups.items():
        try:
            lots.append(_drawn_lot(name, members, reasons, terms, seed, spread))
        except InputProblems as error:
            problems += [Problem(f"lot {name!r}: {p.message}", p.mend) for p in error.problems]
    stop_if(problems)
    return Sample(
        asfound="sample/1",
        site=site,
        plan_revision=plan_revision,
        nodes_sha256=nodes_digest(population),
        terms=terms,
        lot=lot,
        spread=spread,
        seed=seed,
        order="sha-256/1",
        always=tuple(
            AlwaysPlace(network=unit.network, node=unit.node, reasons=tuple(reasons[unit]))
            for unit in sorted(reasons)
        ),
        lots=tuple(lots),
    )


def not_as_drawn(sample: Sample, units: Iterable[Unit]) -> str:
    """Return why a sample is not the one that its seed gives for these nodes; empty if it is."""
    population = list(units)
    if nodes_digest(population) != sample.nodes_sha256:
        return "the nodes of the plan are no longer those that the sample was drawn from"
    again = draw(
        population,
        sample.terms,
        sample.seed,
        site=sample.site,
        always={unit_of(place): place.reasons for place in sample.always},
        lot=sample.lot,
        spread=sample.spread,
        plan_revision=sample.plan_revision,
    )
    return "" if again == sample else f"the sample is not the one that the seed {sample.seed!r} gives"


def _drawn_lot(
    name: str,
    members: Sequence[Unit],
    reasons: Mapping[Unit, Sequence[str]],
    terms: ConfidenceTerms | TableTerms,
    seed: str,
    spread: str,
) -> SampledLot:
    rest = [unit for unit in members if unit not in reasons]
    networks = sorted({unit.network for unit in members}, key=lambda network: digest([seed, network]))
    nodes = Counter(unit.network for unit in members)
    free = Counter(unit.network for unit in rest)
    # The networks are in random order, which decides between equals.
    sizes = {network: free[network] for network in networks}
    wanted = _size(sizes, terms, spread)
    in_order = random_order(seed, rest)
    if spread == "networks":
        shares = allocate(wanted.size, sizes)
        drawn = _first_of_each(in_order, shares)
    else:
        drawn = in_order[: wanted.size]
        shares = dict(Counter(unit.network for unit in drawn))
    return SampledLot(
        lot=name,
        rest=len(rest),
        size=wanted.size,
        accept=wanted.accept,
        reject=wanted.reject,
        letter=wanted.letter,
        letter_used=wanted.letter_used,
        confidence_wherever=_confidence_wherever(sizes, shares, terms, spread),
        shares=tuple(
            Share(
                network=network,
                nodes=nodes[network],
                always=nodes[network] - free[network],
                drawn=shares.get(network, 0),
            )
            for network in sorted(networks)
        ),
        drawn=tuple(Place(network=unit.network, node=unit.node) for unit in sorted(drawn)),
    )


def _first_of_each(in_order: Iterable[Unit], shares: Mapping[str, int]) -> list[Unit]:
    """Return the first nodes of each network, as many as its share."""
    left = dict(shares)
    first = []
    for unit in in_order:
        if left[unit.network]:
            left[unit.network] -= 1
            first.append(unit)
    return first


def _size(sizes: Mapping[str, int], terms: ConfidenceTerms | TableTerms, spread: str) -> _Size:
    rest = sum(sizes.values())
    if rest == 0:
        return _Size(0, 0, 1)
    if isinstance(terms, TableTerms):
        if rest == 1:
            return _Size(1, 0, 1)  # the tables begin at lots of two
        plan = single_plan(rest, terms.aql, terms.level, terms.inspection)
        return _Size(plan.size, plan.accept, plan.reject, plan.letter, plan.letter_used)
    confidence = percent(terms.confidence, "confidence")
    defective = percent(terms.defective, "defective")
    if terms.wherever and spread == "networks":
        size = size_wherever(sizes, confidence, defective)
    else:
        size = size_for(rest, confidence, defective, terms.accept)
    return _Size(size, terms.accept, terms.accept + 1)


def _confidence_wherever(
    sizes: Mapping[str, int], shares: Mapping[str, int], terms: ConfidenceTerms | TableTerms, spread: str
) -> str | None:
    """Return the least confidence of a sample shared out over networks, in percent, rounded down.

    This is the confidence where the nonconforming nodes are in the least favourable places.
    """
    one_network = sum(1 for size in sizes.values() if size) <= 1
    if isinstance(terms, TableTerms) or terms.accept or spread == "none" or one_network:
        return None
    wanted = defective_in(sum(sizes.values()), percent(terms.defective, "defective"))
    return f"{floor((1 - chance_of_none(sizes, shares, wanted)) * Fraction(10_000)) / 100:.2f}"


def _check(
    population: Sequence[Unit],
    reasons: Mapping[Unit, Sequence[str]],
    terms: ConfidenceTerms | TableTerms,
    seed: str,
) -> None:
    """Raise InputProblems where nodes, reasons or terms cannot be drawn with."""
    if not population:
        raise stop("there is no node to draw from", "give a plan with nodes in it")
    no_seed = [] if seed.strip() else [Problem("the seed is empty", "give any word or number, and keep it")]
    stop_if([*no_seed, *_wrong_names(population, reasons), *_wrong_terms(terms)])


def _wrong_names(population: Sequence[Unit], reasons: Mapping[Unit, Sequence[str]]) -> Iterator[Problem]:
    """Yield nodes that are listed twice, and what is always visited without a reason or does not exist."""
    times_listed = Counter(population)
    for unit, times in times_listed.items():
        if times > 1:
            yield Problem(f"node {unit.node!r} of {unit.network!r} is listed {times} times", "list it once")
    for unit in sorted(reasons):
        if unit not in times_listed:
            message = f"always visited: there is no node {unit.node!r} in {unit.network!r}"
            yield Problem(message, _whereabouts(unit, population))
        elif not reasons[unit]:
            yield Problem(f"always visited: no reason is given for {unit.node!r}", "give one")


def _wrong_terms(terms: ConfidenceTerms | TableTerms) -> Iterator[Problem]:
    """Yield what is wrong with terms by confidence."""
    if isinstance(terms, TableTerms):
        return
    for text, what in ((terms.confidence, "confidence"), (terms.defective, "defective")):
        try:
            percent(text, what)
        except InputProblems as error:
            yield from error.problems
    if terms.wherever and terms.accept:
        yield Problem("--wherever is only possible with accept number 0", "leave --accept out, or give 0")


def _whereabouts(unit: Unit, population: Sequence[Unit]) -> str:
    """Return the network that a misplaced node is in, or else the names nearest to the one given."""
    elsewhere = [other.network for other in population if other.node == unit.node]
    if elsewhere:
        return f"it is in {', '.join(map(repr, elsewhere))}"
    networks = {other.network for other in population}
    if unit.network not in networks:
        return nearest(unit.network, networks)
    return nearest(unit.node, [other.node for other in population if other.network == unit.network])
