"""The work list as text, for a person at a terminal or on paper: what to know first, then step by step."""

from __future__ import annotations

from audit.model.worklist import Alternative, Change, Step, Visit, WorkList
from audit.phrases import counted, listed, titled
from audit.reporting.lines import Lines
from audit.reporting.text_report import add_place
from audit.reporting.work_rows import going_along, minutes, visited

BLANK = "_" * 10
SIGN = f"done by {BLANK}  verified by {BLANK}  as left {BLANK}"
BLIND = (
    "Minutes: work, travel, and a change record if the plan has to be amended. Blind: minutes in which nodes "
    "are not heard during the work, added up over all nodes. Both count the same."
)
STARTS_ELSEWHERE = (
    "not all was left as this list expects: before going on, "
    "read back what is set now and make a new list from it"
)
"""The steps still open were replayed from the settings as found."""
MOST_FINDINGS = 3
"""The rest are only counted here; formats for machines have them all."""
MINUTES_OF_A_DAY = 480
"""A working day."""
MARKS = {"done": "x", "by hand": " ", None: " "}
"""State of a step → the mark in its box; open steps get a dash."""


def render(work: WorkList, width: int = 80, colour: bool = False) -> str:
    """Return the list as text of the given width."""
    lines = Lines(width, colour)
    site = titled(work.site.name, work.site.plan_revision)
    lines.add(f"WORK LIST  {site}", "bad" if _to_do(work) else "good")
    for fact in facts(work):
        lines.add(fact, indent=2, hang=2)
    _newly_wrong(lines, work)
    _held_back(lines, work)
    _alternatives(lines, work)
    if work.steps:
        lines.head("BEFORE YOU START")
        for caution in work.cautions:
            lines.add(f"- {caution}", indent=2, hang=2)
        lines.head("STEPS")
    for visit, steps in visited(work):
        _visit(lines, visit, steps)
    _inputs(lines, work)
    _closing(lines, work)
    return lines.text()


def facts(work: WorkList) -> list[str]:
    """Return the figures of a list, one sentence each."""
    counts = work.counts
    sentences = [f"made on {work.run_on}; it authorises nothing"]
    if not work.steps and not work.held_back:
        todo = "nothing to do except what is newly wrong" if work.newly_wrong else "nothing to do"
        return [*sentences, todo + _waived(work)]
    sentences.append(
        f"{counted(counts.steps, 'step')} at {counted(counts.visits, 'place')}; "
        f"{counted(counts.changes, 'setting')} to key in; {counted(counts.devices, 'device')} concerned"
        f"{_waived(work)}"
    )
    if counts.done is not None:
        states = f"{counts.done:,} done, {counts.open:,} open, {counts.by_hand:,} to be ticked by hand"
        sentences.append(f"after the work: {states}")
    if work.newly_wrong or any(step.status == "other value" for step in work.steps):
        sentences.append(STARTS_ELSEWHERE)
    labour = f"{minutes(counts.minutes)} minutes{_in_hours(counts.minutes)} of work"
    travel = f"{minutes(counts.ways_minutes)}{_in_hours(counts.ways_minutes)} to get from place to place"
    sentences.append(f"about {labour}, and {travel} (estimates: {work.basis})")
    length = f", about {work.route.metres:,.0f} m" if work.route.metres is not None else ""
    if counts.visits:
        sentences.append(f"order of the places: {work.route.how}{length}")
    if counts.held_back:
        sentences.append(f"{counted(counts.held_back, 'change')} held back: see below")
    return sentences


def _in_hours(number: float) -> str:
    """Return minutes in hours, in brackets, if they are more than a day's work; else nothing."""
    return f" ({number / 60:,.0f} hours)" if number > MINUTES_OF_A_DAY else ""


def _waived(work: WorkList) -> str:
    return f"; {counted(work.waived, 'finding')} waived, without a step" if work.waived else ""


def _to_do(work: WorkList) -> bool:
    return bool(work.steps and work.counts.open != 0) or bool(work.held_back) or bool(work.newly_wrong)


def _newly_wrong(lines: Lines, work: WorkList) -> None:
    if not work.newly_wrong:
        return
    lines.head("NEWLY WRONG, since the list was made")
    for one in work.newly_wrong:
        lines.add(f"- {one.message}", "error", indent=2, hang=2)
        if one.place:
            add_place(lines, one.place, indent=4, hang=3)
        if one.with_it:
            lines.add(going_along(one), indent=4)
        lines.add(f"remedy: {one.remedy}", indent=4, hang=8)
        lines.add(f"finding: {one.id}", indent=4, hang=9)


def _held_back(lines: Lines, work: WorkList) -> None:
    if work.held_back:
        lines.head("HELD BACK, not among the steps")
    for held in work.held_back:
        lines.add()
        lines.add(f"{held.network}: {held.change}", "error", indent=2, hang=2)
        lines.add(f"why: {held.why}", indent=4, hang=5)
        lines.add(f"to go on: {held.mend}", indent=4, hang=10)
        lines.add(f"findings: {', '.join(held.findings)}", indent=4, hang=10)


def _alternatives(lines: Lines, work: WorkList) -> None:
    if not work.alternatives:
        return
    lines.head("ALTERNATIVES")
    lines.add(BLIND, indent=2)
    for one in work.alternatives:
        lines.add(f"- {alternative_words(one)}", indent=2, hang=2)
    for one in work.alternatives:
        if not one.listed and one.choose:
            lines.add(f"to list “{one.way}” instead: {one.choose}", indent=2, hang=4, whole=one.choose)


def _mark(one: Alternative) -> str:
    return ", ".join(word for word, so in (("advised", one.advised), ("listed below", one.listed)) if so)


def alternative_words(one: Alternative) -> str:
    """Return an alternative as a sentence."""
    against = f"; against it: {one.against}" if one.against else ""
    mark = f" ({_mark(one)})" if _mark(one) else ""
    return (
        f"{one.network}, {one.setting}: {one.way}: {minutes(one.minutes)} minutes of work, "
        f"{minutes(one.blind_node_minutes)} node-minutes blind{against}{mark}"
    )


def _visit(lines: Lines, visit: Visit, steps: list[Step]) -> None:
    way = f" ({visit.metres:,.0f} m)" if visit.metres is not None else ""
    lines.head(f"{visit.title}{way}")
    for step in steps:
        if step.status == "done":
            lines.add(
                f"[x] {step.number}. {_who(step)}{step.do.rstrip('.')}: done{_left(step)}", indent=2, hang=4
            )
        else:
            _step(lines, step)


def _step(lines: Lines, step: Step) -> None:
    box = MARKS.get(step.status, "-")
    state = f" -- {step.status}{_left(step)}" if step.status else ""
    lines.add(f"[{box}] {step.number}. {_who(step)}{step.do}{state}", "head", indent=2, hang=4)
    for change in step.changes:
        lines.add(change_words(change), indent=6, hang=2)
    for word, text in details(step):
        lines.add(f"{word}: {text}", indent=6, hang=2)
    lines.add(f"{minutes(step.minutes)} min  {SIGN}", indent=6)


def details(step: Step) -> list[tuple[str, str]]:
    """Return what is said of a step apart from what to do, each part with its heading."""
    parts = [
        ("after step", ", ".join(map(str, step.needs))),
        ("hold", step.hold or ""),
        ("caution", "; ".join(step.cautions)),
        ("expect", step.expect),
        ("to undo", step.rollback or ""),
        ("finding", listed(step.findings, MOST_FINDINGS)),
    ]
    return [(word, text) for word, text in parts if text]


def change_words(change: Change) -> str:
    """Return a change, for instance `HH (high_high_alarm), at ALM > HH: 8.10 m → 10.80 m`."""
    name = change.label if change.label == change.setting else f"{change.label} ({change.setting})"
    where = f", at {change.where}" if change.where else ""
    return f"{name}{where}: {change.before} → {change.after}"


def _who(step: Step) -> str:
    if not step.tag:
        return f"{step.network}: " if step.network else ""
    return f"{step.tag}, serial {step.serial}: " if step.serial else f"{step.tag}: "


def _left(step: Step) -> str:
    return f", as left {step.as_left}" if step.as_left else ""


def _inputs(lines: Lines, work: WorkList) -> None:
    lines.inputs(work.inputs)
    lines.add(f"{work.tool.name} {work.tool.version}", indent=2)


def _closing(lines: Lines, work: WorkList) -> None:
    lines.add()
    counts = work.counts
    if counts.done is not None:
        wrong = len(work.newly_wrong or ())
        steps = counted(counts.steps, "step")
        summary = f"{counts.done:,} of {steps} done, {counts.open:,} open, {wrong:,} newly wrong"
    else:
        summary = f"{counted(counts.steps, 'step')}, {counts.held_back:,} held back"
    lines.add(f"WORK LIST: {summary}", "bad" if _to_do(work) else "good")
