"""What all reports say about a sample: its decision, lot by lot, and what was not sampled."""

from __future__ import annotations

from audit.model.sample_verdict import LotVerdict, SampleUsed
from audit.reporting.sample_words import lot_name

DECISIONS = {"accept": "accepted", "reject": "rejected", "open": "open"}
LOT_HEADS = ("lot", "drawn from", "drawn", "nonconforming", "not read", "accept at most", "decision")
NETWORK_HEADS = ("network", "nodes", "always", "drawn", "read", "not sampled")


def decision(used: SampleUsed) -> str:
    """Return the decision by the sample, in a sentence."""
    return {
        "accept": "The decision is to accept.",
        "reject": "The decision is to reject.",
        "open": "There is no decision yet.",
    }[used.verdict.decision]


def statements(used: SampleUsed) -> list[str]:
    """Return what the sample shows and what follows from it, one sentence each."""
    verdict = used.verdict
    said = [f"{lot_name(used, lot)}: {lot.reason}; {lot.shows}.{_bounds(lot)}" for lot in verdict.lots]
    said += [f"{reason}." for reason in verdict.reasons[len(verdict.lots) :]]  # the first ones are the lots'
    for one in verdict.read_in_full:
        be = "is" if one.left == 1 else "are"
        rest = (
            f"{one.left:,} of its nodes {be} not yet read in full" if one.left else "all of it has been read"
        )
        said.append(f"{one.network} has to be read in full, because of {', '.join(one.because_of)}: {rest}.")
    said.append("Accepting a lot excuses no finding: what was found has to be corrected anyway.")
    return said


def basis(used: SampleUsed) -> str:
    """Return from what and how the sample was drawn."""
    revision = f", from plan revision {used.plan_revision}" if used.plan_revision else ""
    return f"Drawn as recorded in {used.file}{revision}, seed {used.seed}: {used.terms}."


def _bounds(lot: LotVerdict) -> str:
    """Return the other bounds: for nodes in the least favourable places, and for a lot without end."""
    said, bound = "", lot.bound
    if bound and bound.most_defective_wherever is not None:
        said += f" If these are in the least favourable places, at most {bound.most_defective_wherever}."
    if bound and bound.clopper_pearson_percent is not None:
        most = f"{bound.clopper_pearson_percent:g} %"
        said += f" Regardless of the lot's size (Clopper-Pearson), at most {most}."
    return said


def lot_rows(used: SampleUsed) -> list[tuple[str, ...]]:
    """Return the rows of the lots under their headings."""
    return [
        (
            lot_name(used, lot),
            *(f"{n:,}" for n in (lot.rest, lot.size, len(lot.nonconforming), len(lot.not_read), lot.accept)),
            DECISIONS[lot.decision],
        )
        for lot in used.verdict.lots
    ]


def network_rows(used: SampleUsed) -> list[tuple[str, ...]]:
    """Return the rows of the networks under their headings."""
    return [
        (one.network, *(f"{n:,}" for n in (one.nodes, one.always, one.drawn, one.read, len(one.not_sampled))))
        for one in used.networks
    ]
