"""What all forms of a route sheet say, and what lots are called."""

from __future__ import annotations

from audit.model.route_sheet import RouteSheet, RouteStop
from audit.model.sample import ConfidenceTerms, Sample, SampledLot
from audit.model.sample_verdict import LotVerdict, SampleUsed

ONLY_THESE = (
    "Read exactly these nodes. If one cannot be read, leave it open; reading another in its place makes the "
    "sample worthless. If a node is found faulty, its whole network has to be read."
)

SUPPOSED = (
    "the confidence is that for nonconforming nodes scattered over the networks; with --spread none it holds "
    "wherever they are"
)
LOT_HEADS = ("lot", "drawn from", "drawn", "accept at most", "reject from")


def why_visited(stop: RouteStop) -> str:
    """Return why a device is on a route sheet."""
    if stop.gateway:
        return "gateway: always read"
    return "; ".join(stop.reasons) or "drawn"


def lot_name(sample: Sample | SampleUsed, lot: SampledLot | LotVerdict) -> str:
    """Return the name of a lot."""
    return lot.lot if sample.lot == "network" else "the site"


def lot_heads(sample: Sample) -> tuple[str, ...]:
    """Return the headings of the table of lots, with the code letters if there are any."""
    letters = ("code letter",) if any(lot.letter for lot in sample.lots) else ()
    return (*LOT_HEADS, *letters)


def lot_rows(sample: Sample) -> list[tuple[str, ...]]:
    """Return the rows of the lots under these headings."""
    lettered = len(lot_heads(sample)) > len(LOT_HEADS)
    return [
        (
            lot_name(sample, lot),
            *(f"{n:,}" for n in (lot.rest, lot.size, lot.accept, lot.reject)),
            *([_letters(lot)] if lettered else []),
        )
        for lot in sample.lots
    ]


def _letters(lot: SampledLot) -> str:
    """Return the code letter of a lot, and that of its plan if an arrow in the table leads to another.

    The tables have none for fewer than two nodes.
    """
    if not lot.letter:
        return "none"
    return f"{lot.letter}, plan of {lot.letter_used}" if lot.letter_used != lot.letter else lot.letter


def sheet_facts(sheet: RouteSheet) -> list[str]:
    """Return the facts about a sample other than its nodes, one line each."""
    shared = (
        "shared out over the networks"
        if sheet.sample.spread == "networks"
        else "drawn regardless of networks"
    )
    gateways = "the gateway is" if sheet.gateways == 1 else f"the {sheet.gateways:,} gateways are"
    facts = [f"terms: {sheet.terms}", f"seed: {sheet.sample.seed}", *sheet.notes,
             f"the sample is {shared}; {gateways} read as well"]  # fmt: skip
    for lot in sheet.sample.lots:
        if lot.confidence_wherever and isinstance(sheet.sample.terms, ConfidenceTerms):
            worst, asked = lot.confidence_wherever, sheet.sample.terms.confidence
            more = "; --wherever draws more" if float(worst) < float(asked) else ""
            name = lot_name(sheet.sample, lot)
            facts.append(
                f"{name}: {worst} % even if nonconforming nodes are in the least favourable places{more}"
            )
        elif _supposes(sheet.sample, lot):
            facts.append(f"{lot_name(sheet.sample, lot)}: {SUPPOSED}")
    return facts


def _supposes(sample: Sample, lot: SampledLot) -> bool:
    """Tell whether the confidence supposes scattered nodes, since it was not worked out for other places."""
    return isinstance(sample.terms, ConfidenceTerms) and sample.shares_out(lot) and lot.size != lot.rest
