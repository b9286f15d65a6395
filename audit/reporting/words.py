"""Words that reports share: what was compared with, where a finding is, which levels were lowered."""

from __future__ import annotations

from dataclasses import dataclass

from audit.model.base import Level
from audit.model.baseline import SealedGate
from audit.model.counts import Counts
from audit.model.result import Finding, Result
from audit.model.summary import SiteLine
from audit.model.used import Gate, ReadBy
from audit.phrases import counted, listed


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


MOST_FILES = 5
"""How many files are named."""
MOST_READERS = 5
"""How many readers are named."""
MOST_WAYS = 3
"""How many ways of reading of one reader are named: some write a remark of its own for each device."""
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


def is_of_plan_alone(result: Result) -> bool:
    """Return whether a result is that of a plan without any readback, which no gate passes or keeps back."""
    return not (result.counts.devices_read or any(file.kind == "readback" for file in result.inputs))


def gate_named(result: Result) -> str:
    """Return title and id of the gate, and the site's file that defines it if it is not one of ours."""
    gate = result.gate
    if is_of_plan_alone(result):
        return f"The plan alone, by the levels of {gate.id}"
    return f"{gate.title} ({gate.id}{f', a gate of {gate.file}' if gate.file else ''})"


def levels_counted(counts: Counts) -> str:
    """Return how many findings there are of each level."""
    levels = ((counts.errors, "error"), (counts.warnings, "warning"), (counts.notes, "note"))
    return ", ".join(counted(number, level) for number, level in levels)


def _near(result: Result) -> str:
    """Return how many readings count as equal within a step of the display; blank if there is none."""
    near_misses = result.near_misses
    if near_misses is None:
        return ""
    number, alike = near_misses.readings, words_of(result).alike
    which = f"{number:,} of the readings {alike} {'is' if number == 1 else 'are'} so"
    return f"{which} only within a step of the display; farthest: {near_misses.farthest}"


def held_against(result: Result) -> str:
    """Return what the findings are held against that is not as in the earlier result; blank if all is.

    Nothing is said of what no finding can be gone or new by.
    """
    since, said = result.since, []
    if since and since.absent and since.changed:
        said.append(
            f"Not as in that result: {listed(since.changed, MOST_FILES)}. "
            "A finding may be gone because of that, without any work at a device"
        )
    if since and since.rules_of_new is not None:
        said.append(
            f"Not as in that result: {since.rules_of_new}. "
            "A finding may be new because of that, without any change at a device"
        )
    return ". ".join(said)


def relied_on(result: Result) -> list[str]:
    """Return what the verdict rests on, a phrase each: near misses, who read the devices, and what twice."""
    return list(filter(None, (_near(result), *_readers(result), again(result))))


def again(result: Result) -> str:
    """Return how many readings agree only after an earlier one of the same day; blank if none does."""
    if not result.read_again:
        return ""
    number = sum(len(one.settings) for one in result.read_again)
    tags = listed([one.node for one in result.read_again], MOST_READERS)
    one_or_more = "reading is" if number == 1 else "readings are"
    return f"{number:,} {one_or_more} {words_of(result).alike} only when read again on the same day: {tags}"


def _readers(result: Result) -> list[str]:
    """Return who read the devices, when and how, a phrase each; the rest together where there are many."""
    if not result.read_by:
        return ["nothing says who read the devices, or when"] if result.counts.devices_read else []
    shown, rest = result.read_by[:MOST_READERS], result.read_by[MOST_READERS:]
    others = f"and {counted(len(rest), 'other')}: {counted(sum(one.devices for one in rest), 'device')}"
    return [*map(_reader, shown), *([others] if rest else [])]


def _reader(one: ReadBy) -> str:
    span = one.first or "no date"
    if one.first and one.last and one.last != one.first:
        (day, _, first), (last_day, _, last) = one.first.partition("T"), one.last.partition("T")
        until = last if day == last_day and first else f"{last_day} {last}"
        span = f"{day} {first}".strip() + f" to {until.strip()}"
    undated = f", {one.undated:,} without a date" if one.undated and one.first else ""
    how = listed([f"{words} ({number:,})" for words, number in one.how.items()], MOST_WAYS)
    what = f"{counted(one.devices, 'device')}, {span.replace('T', ' ')}{undated}"
    return f"read by {one.name or 'nobody named'}: {what}{f'; {how}' if how else ''}"


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
    return "the plan alone was checked" if is_of_plan_alone(result) else "the readback is blank"


def compared_with(result: Result) -> str:
    """Return in a sentence which baseline and plan a drift was worked out from."""
    if result.drift is None:
        return ""
    used = result.drift.baseline
    signed = "signed" if used.fingerprint else "not signed with a key"
    revision = f", revision {result.drift.plan_revision}" if result.drift.plan_revision else ""
    plan = f"; plan {result.drift.plan}{revision}" if result.drift.plan else "; no plan was given"
    if result.drift.sample:
        plan += f"; only the nodes of the sample {result.drift.sample.file} had to be read"
    return (
        f"Compared with the baseline {used.file}, sealed on {used.sealed_on} by {used.signed_by} "
        f"({signed}, verdict {used.verdict.upper()}){plan}"
    )
