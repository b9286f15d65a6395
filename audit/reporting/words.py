"""Words that reports share: what was compared with, where a finding is, which levels were lowered."""

from __future__ import annotations

from dataclasses import dataclass

from audit.model.base import Level
from audit.model.baseline import SealedGate
from audit.model.result import Finding, Result
from audit.model.summary import SiteLine
from audit.model.used import Gate
from audit.phrases import counted


@dataclass(frozen=True, slots=True)
class Words:
    """The words of one kind of report."""

    side: str
    """Heading over the values compared with."""
    alike: str
    """Said of a value that is the same on both sides."""
    none: str
    """Said where that side has no value."""
    devices: str
    """A device of that side."""
    settings: str
    """The settings of that side."""
    title: str


PLAN = Words(
    "planned", "as planned", "not planned", "planned device", "planned settings", "Planned and as found"
)
BASELINE = Words(
    "baseline",
    "as in the baseline",
    "not in the baseline",
    "device",
    "settings of the baseline",
    "Baseline and as found",
)


FAILS_ON: dict[Level, str] = {
    "error": "errors",
    "warning": "warnings and errors",
    "note": "notes, warnings and errors",
}
"""Level → what a gate with it fails on."""


def softened(gate: Gate | SealedGate | SiteLine) -> str:
    """Return in a sentence which levels the site rules have lowered; blank if they have lowered none."""
    if not gate.lowered:
        return ""
    levels = [f"{one.rule} {one.usual} → {one.level} ({one.file} line {one.row})" for one in gate.lowered]
    return f"Site rules lower {counted(len(levels), 'level')}: {', '.join(levels)}"


def words_of(result: Result) -> Words:
    """Return the words for a result."""
    return BASELINE if result.drift else PLAN


def where(finding: Finding) -> str:
    """Return network and device of a finding with a colon after them; nothing for the site as a whole."""
    named = " ".join(filter(None, (finding.network, finding.node)))
    return f"{named}: " if named else ""


def others_to_name(finding: Finding) -> list[str]:
    """Return the other devices that a finding concerns, unless its message or dependents name them."""
    named = finding.dependents or all(tag in finding.message for tag in finding.others)
    return [] if named else finding.others


def nothing_read(result: Result) -> str:
    """Return in words why a result rests on no reading."""
    blank = any(file.kind == "readback" for file in result.inputs)
    return "the readback is blank" if blank else "the plan alone was checked"


def compared_with(result: Result) -> str:
    """Return in a sentence which baseline and plan a drift was worked out from."""
    if result.drift is None:
        return ""
    used = result.drift.baseline
    signed = "signed" if used.fingerprint else "not signed with a key"
    plan = f"; plan {result.drift.plan}" if result.drift.plan else "; no plan was given"
    return (
        f"Compared with the baseline {used.file}, sealed on {used.sealed_on} by {used.signed_by} "
        f"({signed}, verdict {used.verdict.upper()}){plan}"
    )
