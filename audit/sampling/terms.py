"""The terms of a sample: what it has to show, as asked for, and in words."""

from __future__ import annotations

import re

from audit.engineering.sampling.size import percent
from audit.engineering.sampling.switching import PastLot, next_inspection
from audit.engineering.sampling.tables import single_plan
from audit.errors import stop
from audit.model.sample import ConfidenceTerms, TableTerms, Terms
from audit.model.sampling_tables import Inspection, InspectionLevel

DECISIONS = ("accept", "reject")

LEAST_CONFIDENCE = 50
"""Per cent. A sample that shows less than this shows nothing; 0.95 is typed by mistake for 95. Judgement."""


def confidence_terms(confidence: str, defective: str, accept: int, *, wherever: bool) -> ConfidenceTerms:
    """Return terms by confidence. Raises InputProblems for a text that is not a percentage."""
    if accept < 0:
        raise stop(f"--accept {accept} is less than 0", "give how many nonconforming nodes still pass")
    return ConfidenceTerms(
        method="confidence",
        confidence=_percentage(confidence, "--confidence"),
        defective=_percentage(defective, "--defective"),
        accept=accept,
        wherever=wherever,
    )


def _percentage(text: str, option: str) -> str:
    """Return a percentage as samples hold it: as typed, without the % sign."""
    number = text.strip().removesuffix("%").strip()
    if not re.fullmatch(r"[0-9]{1,3}(\.[0-9]+)?", number):
        raise stop(f"{option}: {text[:40]!r} is not a percentage", "write it as 95 or 2.5")
    percent(number, option)
    if option == "--confidence" and float(number) < LEAST_CONFIDENCE:
        mend = "write 95 for 95 %; less than an even chance gives no confidence"
        raise stop(f"{option}: {number} is below {LEAST_CONFIDENCE} %", mend)
    return number


def table_terms(aql: str, level: InspectionLevel, inspection: Inspection) -> TableTerms:
    """Return terms by the tables. Raises InputProblems for an AQL that is not in them."""
    plan = single_plan(2, aql, level, inspection)
    return TableTerms(method="mil-std-105e", aql=plan.aql, level=level, inspection=inspection)


def after_lots(text: str) -> tuple[Inspection, str]:
    """Return the inspection after earlier lots, and why: `accept,accept,reject`, the oldest first.

    Each lot is taken to have been inspected as the switching rules demanded at the time, the first under
    normal inspection. Raises InputProblems for other words, and where the rules say to stop.
    """
    lots: list[PastLot] = []
    for word in text.split(","):
        decision = word.strip().casefold()
        if decision not in DECISIONS:
            raise stop(f"--earlier: {word.strip()[:40]!r} is not a decision",
                       "list the earlier lots, the oldest first: accept,accept,reject")  # fmt: skip
        now = next_inspection(lots)
        if now.inspection == "discontinued":
            break
        lots.append(PastLot(now.inspection, DECISIONS.index(decision), 0, 1))
    switch = next_inspection(lots)
    if switch.inspection == "discontinued":
        raise stop(f"--earlier: {switch.reason}",
                   "correct the cause, read every node, then begin with --inspection tightened")  # fmt: skip
    return switch.inspection, switch.reason


def in_words(terms: Terms) -> str:
    """Return the terms as people say them."""
    if isinstance(terms, TableTerms):
        how = f"level {terms.level}, {terms.inspection} inspection"
        return f"MIL-STD-105E, single sampling: AQL {terms.aql} %, {how}"
    where = ", wherever these are" if terms.wherever else ""
    return (
        f"{terms.confidence} % confidence that fewer than {terms.defective} % are nonconforming{where}; "
        f"accept number {terms.accept}"
    )
