"""What a sample shows, once its nodes have been read.

Only the nodes drawn by chance decide about a lot. A drawn node that was not read has not been shown to
be good, and whatever kept it from being read (no signal, no access) may well go with a fault. So the bound
counts it as defective, and a lot whose verdict depends on it stays open. Leaving such nodes out would make
the sample look better the worse the visit went.

A network in which a node of the sample was found nonconforming is read in full, whether the node was
drawn or visited for a reason: faults cluster in networks, from one person's day or one wrong template
(common practice).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence, Set
from fractions import Fraction
from math import ceil

from audit.engineering.sampling.bounds import clopper_pearson_upper, most_defective
from audit.engineering.sampling.size import percent
from audit.engineering.sampling.spreading import most_defective_wherever
from audit.grouping import grouped
from audit.model.sample import ConfidenceTerms, Place, Sample, SampledLot
from audit.model.sample_verdict import Decision, LotVerdict, ReadInFull, SampleBound, SampleVerdict
from audit.phrases import counted, listed
from audit.sampling.by_chance import Unit, unit_of

MOST_TAGS = 12
"""Nodes named in a message."""
USUAL_CONFIDENCE = "95"
"""For plans from the tables, which have none: common practice."""


def judge(
    sample: Sample, read: Set[Unit], nonconforming: Set[Unit], waived: Set[Unit] = frozenset()
) -> SampleVerdict:
    """Return what a sample shows, with bounds at the confidence of its terms.

    `read` are all nodes that were read, `nonconforming` those found not as they should be; both may hold
    nodes outside the sample, and a node that is only in `nonconforming` counts as read. `waived` are nodes of
    `read` that a waiver excuses: only the bound counts them.
    """
    terms = sample.terms
    confidence = terms.confidence if isinstance(terms, ConfidenceTerms) else USUAL_CONFIDENCE
    level = percent(confidence, "confidence")
    seen = read | nonconforming
    known = Counter(unit.network for unit in (nonconforming | waived) - set(map(unit_of, sample.always)))
    lots = [_judge_lot(lot, sample, seen, (nonconforming, waived), known, level) for lot in sample.lots]
    always_bad = _named(sample.always, nonconforming)
    always_unread = [place.node for place in sample.always if unit_of(place) not in seen]
    decision, reasons = _overall(lots, always_unread)
    if always_bad:
        reasons.append(
            f"nonconforming among the nodes visited for a reason: {', '.join(always_bad)};"
            " these are findings, but not part of the sample's statistics"
        )
    return SampleVerdict(
        decision=decision,
        reasons=reasons,
        lots=lots,
        always_nonconforming=always_bad,
        always_not_read=always_unread,
        read_in_full=_read_in_full(sample, seen, nonconforming),
    )


def _overall(lots: Sequence[LotVerdict], always_unread: Sequence[str]) -> tuple[Decision, list[str]]:
    reasons = [f"{lot.lot}: {lot.reason}" for lot in lots]
    decisions = {lot.decision for lot in lots}
    if always_unread:
        reasons.append(f"always to be visited, but not read: {', '.join(always_unread)}")
    if "reject" in decisions:
        return "reject", reasons
    return ("open" if always_unread or "open" in decisions else "accept"), reasons


def _judge_lot(
    lot: SampledLot,
    sample: Sample,
    seen: Set[Unit],
    faulty: tuple[Set[Unit], Set[Unit]],
    known: Mapping[str, int],
    level: Fraction,
) -> LotVerdict:
    """Return the verdict on a lot; `known` counts the faulty nodes of each network, drawn or not."""
    bad, waived = (_named(lot.drawn, nodes) for nodes in faulty)
    unread = [place.node for place in lot.drawn if unit_of(place) not in seen]
    decision, reason = _decide(lot, len(bad), len(unread), waived)
    at_least = sum(known.get(share.network, 0) for share in lot.shares)
    found = len(bad) + len(unread) + len(waived)
    bound = _bound(lot, sample, found, at_least, level) if lot.rest else None
    return LotVerdict(
        lot=lot.lot,
        decision=decision,
        reason=reason,
        shows=_shows(lot, sample, bound, ", waived ones included" if waived else ""),
        rest=lot.rest,
        size=lot.size,
        accept=lot.accept,
        reject=lot.reject,
        nonconforming=bad,
        waived=waived,
        not_read=unread,
        bound=bound,
        normal_returns=decision == "accept" and len(bad) > lot.accept,
    )


def _decide(lot: SampledLot, bad: int, unread: int, waived: Sequence[str]) -> tuple[Decision, str]:
    if not lot.rest:
        return "accept", "every node is visited for a reason; there is none left to draw from"
    found = f"{bad or 'none'} of {lot.size} drawn nodes nonconforming"
    if waived:
        found += f", not counting {len(waived)} waived ({listed(waived, MOST_TAGS)})"
    missing = f", {unread} not read" if unread else ""
    if bad >= lot.reject:
        return "reject", f"{found}{missing}; {lot.reject} or more reject the lot"
    if bad + unread >= lot.reject:
        return (
            "open",
            f"{found}{missing}; with these there may be {lot.reject} or more, enough to reject the lot",
        )
    if unread:
        return "accept", f"{found}{missing}; even if these were nonconforming too, the lot would pass"
    if bad > lot.accept:
        return "accept", f"{found}; more than the accept number {lot.accept}, so normal inspection returns"
    return "accept", f"{found}; {lot.accept or 'none'} may be"


def _shows(lot: SampledLot, sample: Sample, bound: SampleBound | None, included: str) -> str:
    """Return what the sample shows about the nodes that were drawn from, a sentence without its full stop."""
    if bound is None:
        return "no node was drawn"
    be = "is" if bound.most_defective == 1 else "are"
    if lot.size == lot.rest:
        every = counted(lot.rest, "node")
        return f"{bound.most_defective} of all {every} {be} nonconforming or not read{included}"
    confidence = f"with {bound.confidence_percent:g} % confidence"
    most = f"{bound.most_defective} of {lot.rest} nodes ({bound.most_defective_percent:g} %) {be}"
    if bound.clopper_pearson_percent is None:
        return f"{most} known to be nonconforming{included}, more than the sample lets expect {confidence}"
    # Where they are elsewhere is calculated only for samples that have shown none.
    assumed = sample.shares_out(lot) and bound.most_defective_wherever is None
    where = ", if these are scattered over the networks" if assumed else ""
    return f"{confidence} at most {most} nonconforming{included}{where}"


def _bound(lot: SampledLot, sample: Sample, found: int, at_least: int, level: Fraction) -> SampleBound:
    """Return the bounds when `found` drawn nodes are nonconforming or not read, and `at_least` of the lot."""
    inferred = most_defective(found, lot.size, lot.rest, level)
    most = max(inferred, at_least)
    regardless = clopper_pearson_upper(found, lot.size, level)
    certain = lot.size == lot.rest or most > inferred  # what is known needs no inference
    shared = sample.shares_out(lot) and not found and not certain
    sizes = {share.network: share.nodes - share.always for share in lot.shares}
    drawn = {share.network: share.drawn for share in lot.shares}
    return SampleBound(
        confidence_percent=float(level * 100),
        most_defective=most,
        most_defective_percent=_percent_up(Fraction(most, lot.rest)),
        clopper_pearson_percent=None if certain else _percent_up(regardless),
        most_defective_wherever=most_defective_wherever(sizes, drawn, level) if shared else None,
    )


def _read_in_full(sample: Sample, seen: Set[Unit], nonconforming: Set[Unit]) -> list[ReadInFull]:
    nodes = {share.network: share.nodes for lot in sample.lots for share in lot.shares}
    read = Counter(unit.network for unit in seen)
    # Drawn or not: where one is faulty, its neighbours are suspect.
    because = grouped((unit.network, unit.node) for unit in nonconforming)
    return [
        ReadInFull(
            network=network, because_of=sorted(because[network]), left=max(0, nodes[network] - read[network])
        )
        for network in sorted(because)
    ]


def _named(places: Sequence[Place], among: Set[Unit]) -> list[str]:
    return [place.node for place in places if unit_of(place) in among]


def _percent_up(fraction: Fraction) -> float:
    """Return a fraction in percent, rounded up to two decimals."""
    return ceil(fraction * 10_000) / 100
