"""The diagnosis as text, for a person on the move: verdict first, then what to do next."""

from __future__ import annotations

from collections.abc import Sequence

from audit.diagnosis.words import percent
from audit.model.diagnosis import CauseNow, CheckNext, Diagnosis, EvidenceUsed, NodeDiagnosis, Trip
from audit.phrases import counted, typed
from audit.reading.values import plain
from audit.reporting.lines import Lines, table
from audit.reporting.missing_text import missing_nodes
from audit.reporting.text_report import add_place

OWN_ROW_FROM = 0.01
"""Causes below this probability share one line."""
HOW_FROM = 0.02
"""A check is explained if its chance of finding the cause is at least this."""
WHOLE_FROM = 10
"""Factors from here on are written without decimals."""
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
        lines.head("FIRST, since this was read off plan")
    for words in node.mend_first:
        lines.add(words, indent=2, hang=2)
    _next_checks(lines, node)
    _other_causes(lines, node)


def _joined(node: NodeDiagnosis) -> str:
    if node.joined_before == "unknown":
        return f"{node.joined_words}: each case counts half"
    weights = "that had joined before" if node.joined_before == "was" else "that have never joined"
    correct = "" if node.joined_stated else " (if this is wrong, give --was-joined or --never-joined)"
    return f"{node.joined_words}: the weights for nodes {weights} are used{correct}"


def _first_cause(lines: Lines, node: NodeDiagnosis) -> None:
    first = node.causes[0]
    lines.head(f"MOST PROBABLE, {percent(first.posterior)}: {first.title}")
    lines.add(f"{percent(first.prior)} before anything was known of this node", indent=2)
    by_number = {one.number: one for one in node.evidence}
    for heading, numbers in (("for it", first.speaks_for), ("against it", first.speaks_against)):
        lines.add(f"{heading}: {'' if numbers else 'nothing known'}".rstrip(), indent=2)
        ordered = sorted(numbers, key=lambda n: -_strength(by_number[n].factors[first.id]))
        for number in ordered:
            one = by_number[number]
            _evidence(lines, one, f"; {_times(one.factors[first.id])} under this cause than under others")
    lines.add(f"remedy: {first.remedy}", indent=2, hang=8)


def _evidence(lines: Lines, one: EvidenceUsed, after: str = "") -> None:
    mark = {"files": "", "saw": " (as seen)", "check": " (checked)"}[one.source]
    lines.add(f"[{one.number}] {one.words}{mark}{after}", indent=4, hang=4)
    for place in one.places:
        add_place(lines, place, indent=8, hang=2)


def _strength(factor: float) -> float:
    return max(factor, 1 / factor)


def _times(factor: float) -> str:
    strength = _strength(factor)
    number = f"{strength:.0f}" if strength >= WHOLE_FROM else plain(round(strength, 1))
    return f"{number} times more likely" if factor > 1 else f"{number} times less likely"


def _other_causes(lines: Lines, node: NodeDiagnosis) -> None:
    lines.head("ALL CAUSES, with the numbers of what speaks for and against each")
    mixed = node.joined_before == "unknown"
    heads = ["now", "before", *(["if never", "if joined"] if mixed else []), "cause", "for", "against"]
    shown = [cause for cause in node.causes if cause.posterior >= OWN_ROW_FROM]
    lines.block(table([_row(cause, mixed) for cause in shown], heads, lines.width - 2), 2)
    rest = [cause for cause in node.causes if cause.posterior < OWN_ROW_FROM]
    if rest:
        lines.add(f"below 1 % each: {', '.join(cause.id for cause in rest)}", indent=2, hang=2)
    above = {*node.causes[0].speaks_for, *node.causes[0].speaks_against}
    others = [one for one in node.evidence if one.number not in above]
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
    worthwhile = [check for check in node.checks if check.chance >= HOW_FROM or not node.settled]
    order = f"in the order with the shortest expected time, {plain(round(node.expected_minutes))} min"
    if node.settled:
        lines.head("NEXT: do what the remedy says; the cause is as good as known")
    elif worthwhile:
        lines.head(f"NEXT CHECKS, {'only if that does not help, ' if node.mend_first else ''}{order}")
    if worthwhile:
        if node.settled:
            lines.add(f"only if that does not help, check {order}", indent=2, hang=2)
        _checks(lines, node, worthwhile)
        lines.add(f"{percent(node.none_finds)} chance that none of these finds the cause", indent=2)
        if not node.settled and not any(node.causes[0].id in check.finds for check in node.checks):
            words = "none of them looks for the most probable cause: do what its remedy says first"
            lines.add(words, indent=2, hang=2)
    rest = ", ".join(check.id for check in node.checks if check not in worthwhile)
    if rest:
        words = f"not worth it, since each has less than a {percent(HOW_FROM)} chance of finding the cause"
        lines.add(f"{words}: {rest}", indent=2, hang=2)
    if node.done:
        lines.add(
            f"as good as done, since their questions are answered: {', '.join(node.done)}", indent=2, hang=2
        )


def _checks(lines: Lines, node: NodeDiagnosis, checks: Sequence[CheckNext]) -> None:
    at_site = False
    for number, check in enumerate(checks, 1):
        if check.where == "site" and not at_site and node.trip:
            _trip(lines, node.trip)
        if at_site and check.where != "site":
            lines.add("AFTERWARDS, if the trip has not found it", indent=2, hang=2)
        at_site = check.where == "site"
        _check(lines, number, check)


def _trip(lines: Lines, trip: Trip) -> None:
    travel = f"travel {plain(round(trip.travel_minutes))} min ({trip.travel_basis})"
    lines.add(f"TRIP to the node, {travel}", indent=2, hang=2)
    lines.add(f"{trip.words}; on the trip, do all the checks at the node", indent=4, hang=2)
    lines.add(f"take along: {', '.join(trip.take)}", indent=4, hang=2)


def _check(lines: Lines, number: int, check: CheckNext) -> None:
    finds = ", ".join(check.finds[:2])
    travel = " plus travel" if check.where == "gateway" else ""
    lines.add(
        f"{number}. {check.where}, {plain(check.minutes)} min{travel}: {check.title}; "
        f"{percent(check.chance)} chance of finding it ({finds})",
        indent=4 if check.where == "site" else 2, hang=3,
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
    lines.head("BASED ON")
    lines.add(f"{used.file}, version {used.version}: {used.basis}", indent=2, hang=2)
    if used.log:
        calls = counted(used.calls, "recorded call")
        lines.add(f"{calls} in {used.log}, with the judgement counting as {plain(used.worth)} calls",
                  indent=2, hang=2)  # fmt: skip
    lines.add(
        "assumed: there is only one cause, and the things known are independent of one another; "
        f"{percent(used.readback_error)} of readings and list rows, and {percent(used.not_read_error)} of "
        "planned values that were not read, are wrong, unless a question states a share of its own",
        indent=2, hang=2,
    )  # fmt: skip
    lines.inputs(diagnosis.inputs)


def _closing(lines: Lines, diagnosis: Diagnosis) -> None:
    proved = [one.id for node in diagnosis.nodes for one in node.evidence if one.source == "files"]
    off_plan = OFF_PLAN & set(proved) or any(node.mend_first for node in diagnosis.nodes)
    if off_plan or any(one.off_plan for one in diagnosis.gateways):
        lines.add("next: asfound worklist PLAN READBACK lists the steps for what is off plan")
    if diagnosis.gateways:
        alone = {(one.network, node) for one in diagnosis.gateways for node in one.by_gateway}
        others = [one for one in diagnosis.nodes if (one.network, one.node) not in alone]
        for node in (others or diagnosis.nodes)[:1]:
            lines.add(f"next: asfound why {typed(node.node)} … shows one node in full")
    elif diagnosis.nodes:
        lines.add("next: --interactive takes the outcome of each check")
        lines.add("once it is fixed: --record CAUSE --log FILE")
