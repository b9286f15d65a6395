"""The diagnosis as text, for a person on the way: verdict first, then what to do next."""

from __future__ import annotations

from collections.abc import Sequence

from audit.diagnosis.words import percent
from audit.model.diagnosis import (
    CauseNow,
    CheckNext,
    Diagnosis,
    EvidenceUsed,
    NodeDiagnosis,
    Trip,
)
from audit.reading.values import plain
from audit.reporting.lines import Lines, table
from audit.reporting.missing_text import missing_nodes
from audit.reporting.text_report import add_place

TOLD_FROM = 0.01
"""Causes below this probability stand in one line together."""
HOW_FROM = 0.02
"""How to do a check is told from this chance on that it finds the cause."""
STRONG = 10
OFF_PLAN = {"node-off-plan", "gateway-off-plan", "address-off-plan", "address-default"}
"""Evidence from files that something was read off plan, so that the work list has a step for it."""


def render(diagnosis: Diagnosis, width: int = 80, colour: bool = False) -> str:
    """Return the report as text of the given width."""
    lines = Lines(width, colour)
    lines.add(diagnosis.verdict, "bad" if diagnosis.nodes or diagnosis.gateways else "good", hang=2)
    if diagnosis.gateways or not diagnosis.nodes:
        missing_nodes(lines, diagnosis)
    else:
        _node(lines, diagnosis.nodes[0])
    _not_known(lines, diagnosis)
    _basis(lines, diagnosis)
    lines.cautions(diagnosis.cautions)
    lines.add()
    lines.add(diagnosis.verdict, "bad" if diagnosis.nodes or diagnosis.gateways else "good", hang=2)
    _closing(lines, diagnosis)
    return lines.text()


def _node(lines: Lines, node: NodeDiagnosis) -> None:
    where = [f"serial {node.serial}" if node.serial else "", node.location or ""]
    if any(where):
        lines.add(", ".join(filter(None, where)), indent=2)
    lines.add(node.state_words, indent=2, hang=2)
    for place in node.state_places:
        add_place(lines, place, indent=4, hang=2)
    lines.add(_joined(node), indent=2, hang=2)
    for place in node.joined_places if node.joined_places != node.state_places else ():
        add_place(lines, place, indent=4, hang=2)
    _first_cause(lines, node)
    if node.mend_first:
        lines.head("FIRST, since it was read off plan")
    for words in node.mend_first:
        lines.add(words, indent=2, hang=2)
    _next_checks(lines, node)
    _other_causes(lines, node)


def _joined(node: NodeDiagnosis) -> str:
    if node.joined_before == "unknown":
        return f"{node.joined_words}: nodes that had and that never have count half each"
    weights = "that had joined before" if node.joined_before == "was" else "that never have joined"
    said = "" if node.joined_stated else " (--was-joined or --never-joined says otherwise)"
    return f"{node.joined_words}: reckoned with the weights of nodes {weights}{said}"


def _first_cause(lines: Lines, node: NodeDiagnosis) -> None:
    first = node.causes[0]
    lines.head(f"MOST PROBABLE, {percent(first.posterior)}: {first.title}")
    lines.add(f"{percent(first.prior)} before anything was known of this node", indent=2)
    by_number = {one.number: one for one in node.evidence}
    for heading, numbers in (("for it", first.speaks_for), ("against it", first.speaks_against)):
        lines.add(f"{heading}: {'' if numbers else 'nothing that is known'}".rstrip(), indent=2)
        ordered = sorted(numbers, key=lambda n: -_strength(by_number[n].factors[first.id]))
        for number in ordered:
            one = by_number[number]
            _evidence(lines, one, f"; {_times(one.factors[first.id])} with this cause than with others")
    lines.add(f"remedy: {first.remedy}", indent=2, hang=8)


def _evidence(lines: Lines, one: EvidenceUsed, behind: str = "") -> None:
    mark = {"files": "", "saw": " (as seen)", "check": " (checked)"}[one.source]
    lines.add(f"[{one.number}] {one.words}{mark}{behind}", indent=4, hang=4)
    for place in one.places:
        add_place(lines, place, indent=8, hang=2)


def _strength(factor: float) -> float:
    return max(factor, 1 / factor)


def _times(factor: float) -> str:
    strength = _strength(factor)
    number = f"{strength:.0f}" if strength >= STRONG else plain(round(strength, 1))
    return f"{number} times likelier" if factor > 1 else f"{number} times rarer"


def _other_causes(lines: Lines, node: NodeDiagnosis) -> None:
    lines.head("ALL CAUSES; for and against by the numbers of what is known")
    mixed = node.joined_before == "unknown"
    heads = ["now", "before", *(["if never", "if joined"] if mixed else []), "cause", "for", "against"]
    told = [cause for cause in node.causes if cause.posterior >= TOLD_FROM]
    lines.block(table([_row(cause, mixed) for cause in told], heads, lines.width - 2), 2)
    rest = [cause for cause in node.causes if cause.posterior < TOLD_FROM]
    if rest:
        lines.add(f"below 1 % each: {', '.join(cause.id for cause in rest)}", indent=2, hang=2)
    shown = {*node.causes[0].speaks_for, *node.causes[0].speaks_against}
    others = [one for one in node.evidence if one.number not in shown]
    if others:
        lines.add("also known:", indent=2)
        for one in others:
            _evidence(lines, one)


def _row(cause: CauseNow, mixed: bool) -> list[str]:
    either = [percent(cause.if_never_joined), percent(cause.if_was_joined)] if mixed else []
    numbers = [", ".join(map(str, found)) for found in (cause.speaks_for, cause.speaks_against)]
    return [percent(cause.posterior), percent(cause.prior), *either, cause.title, *numbers]


def _next_checks(lines: Lines, node: NodeDiagnosis) -> None:
    if not node.checks:
        lines.head("NEXT CHECKS: none is left")
        return
    told = [check for check in node.checks if check.chance >= HOW_FROM or not node.settled]
    order = f"in the order with the fewest minutes to be expected: {plain(round(node.expected_minutes))}"
    if node.settled:
        lines.head("NEXT: do what the remedy says; the cause is as good as known")
    elif told:
        lines.head(f"NEXT CHECKS, {'only if that does not help, ' if node.mend_first else ''}{order}")
    if told:
        if node.settled:
            lines.add(f"only if that does not help, check {order}", indent=2, hang=2)
        _checks(lines, node, told)
        lines.add(f"with {percent(node.none_finds)} none of these finds the cause", indent=2)
        if not node.settled and not any(node.causes[0].id in check.finds for check in node.checks):
            words = "none of them looks for the most probable cause: do what its remedy says first"
            lines.add(words, indent=2, hang=2)
    rest = ", ".join(check.id for check in node.checks if check not in told)
    if rest:
        lines.add(f"not worth it, since each finds the cause with less than {percent(HOW_FROM)}: {rest}",
                  indent=2, hang=2)  # fmt: skip
    if node.done:
        lines.add(
            f"as good as done, since their questions are answered: {', '.join(node.done)}", indent=2, hang=2
        )


def _checks(lines: Lines, node: NodeDiagnosis, told: Sequence[CheckNext]) -> None:
    at_site = False
    for number, check in enumerate(told, 1):
        if check.where == "site" and not at_site and node.trip:
            _trip(lines, node.trip)
        if at_site and check.where != "site":
            lines.add("AFTERWARDS, where the trip has not found it", indent=2, hang=2)
        at_site = check.where == "site"
        _check(lines, number, check)


def _trip(lines: Lines, trip: Trip) -> None:
    way = f"way {plain(round(trip.travel_minutes))} min ({trip.travel_basis})"
    lines.add(f"TRIP to the node, {way}", indent=2, hang=2)
    lines.add(f"{trip.words}; on the trip do all checks that are left there", indent=4, hang=2)
    lines.add(f"take along: {', '.join(trip.take)}", indent=4, hang=2)


def _check(lines: Lines, number: int, check: CheckNext) -> None:
    finds = ", ".join(check.finds[:2])
    way = " and the way" if check.where == "gateway" else ""
    lines.add(
        f"{number}. {check.where}, {plain(check.minutes)} min{way}: {check.title}; finds it with "
        f"{percent(check.chance)} ({finds})", indent=4 if check.where == "site" else 2, hang=3,
    )  # fmt: skip
    if check.chance >= HOW_FROM:
        lines.add(check.how, indent=7 if check.where == "site" else 5)


def _not_known(lines: Lines, diagnosis: Diagnosis) -> None:
    alone = diagnosis.nodes[0].not_known if diagnosis.nodes and not diagnosis.gateways else []
    words: Sequence[str] = [*diagnosis.not_known, *alone]
    if words:
        lines.head("NOT KNOWN")
    for one in words:
        lines.add(f"- {one}", indent=2, hang=2)


def _basis(lines: Lines, diagnosis: Diagnosis) -> None:
    used = diagnosis.weights
    lines.head("RECKONED WITH")
    lines.add(f"{used.file}, version {used.version}: {used.basis}", indent=2, hang=2)
    if used.log:
        calls = f"{used.calls} recorded call{'' if used.calls == 1 else 's'} of {used.log}"
        lines.add(f"{calls}, beside judgement that is worth {plain(used.worth)}", indent=2, hang=2)
    lines.add(
        f"one cause at a time, and everything known as independent; {percent(used.readback_error)} of "
        f"readings and list rows, and {percent(used.not_read_error)} of planned values that were not read, "
        "taken as wrong, where a question has no share of its own",
        indent=2, hang=2,
    )  # fmt: skip
    lines.inputs(diagnosis.inputs)


def _closing(lines: Lines, diagnosis: Diagnosis) -> None:
    proved = [one.id for node in diagnosis.nodes for one in node.evidence if one.source == "files"]
    off_plan = OFF_PLAN & set(proved) or any(node.mend_first for node in diagnosis.nodes)
    if off_plan or any(one.off_plan for one in diagnosis.gateways):
        lines.add("next: asfound worklist PLAN READBACK has the steps for what is off plan")
    if diagnosis.gateways:
        alone = {(one.network, node) for one in diagnosis.gateways for node in one.by_gateway}
        others = [one for one in diagnosis.nodes if (one.network, one.node) not in alone]
        for node in (others or diagnosis.nodes)[:1]:
            lines.add(f"next: asfound why {node.node} … tells one node in full")
    elif diagnosis.nodes:
        lines.add("next: --interactive takes the outcome of each check")
        lines.add("when it is mended: --record CAUSE --log FILE")
