"""Folding: findings with one cause are put under it.

A symptom on a device goes under the finding that causes it. Orphaned nodes go under their gateway.
What is off in the same way on several nodes, or all through a row or column of a sheet, is put under a new
finding that names the cause. The patterns run in the order of their rules: what one has put under a cause,
the next leaves alone.

A pattern changes nothing. Each thing that it yields is carried out before it goes on, so that it sees, as the
patterns after it do, what already has a cause.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from audit.checking import Found
from audit.folding.against_plan import against_plan
from audit.folding.alike import same_difference
from audit.folding.another_site import of_another_site
from audit.folding.at_default import at_default
from audit.folding.causes import Causes, link, root_of
from audit.folding.columns import columns_shifted
from audit.folding.dates import became_dates
from audit.folding.decimal_point import decimal_point
from audit.folding.drift import same_drift, under_unit, with_gateway
from audit.folding.findings import Alone, Cause, Findings, Step, Under
from audit.folding.gateways import against_nodes, under_gateway
from audit.folding.joined import join_alike
from audit.folding.limits import one_limit
from audit.folding.misread import misread
from audit.folding.nameless import nameless_rows
from audit.folding.names_slipped import names_slipped
from audit.folding.neighbour import neighbour_row
from audit.folding.offset import same_step, shifted_by_one
from audit.folding.other_device import of_other_device
from audit.folding.other_network import set_for_another
from audit.folding.other_order import in_other_order
from audit.folding.other_tags import other_tags
from audit.folding.other_unit import in_other_unit
from audit.folding.planned_once import planned_once
from audit.folding.planned_series import planned_series
from audit.folding.planned_swapped import planned_swapped
from audit.folding.replaced import replaced
from audit.folding.respelled import respelled
from audit.folding.rows import filled_series, rows_shifted
from audit.folding.same_finding import same_finding
from audit.folding.strange_file import strange_file
from audit.folding.swapped import swapped
from audit.folding.symptoms import under_symptoms
from audit.folding.together import silent_together, under_unplanned_gateway
from audit.folding.too_early import read_too_early
from audit.folding.unclear import unclear_alike
from audit.folding.undated import undated
from audit.folding.unread import unread, unread_device
from audit.folding.weak_links import weak_links
from audit.model.arguments import Fold, PatternName
from audit.model.rule import Rule
from audit.model.site import Site

Pattern = Callable[[Findings, int], Iterator[Step]]
"""Yields causes, and what belongs under them; given the findings so far and the fewest that make a cause."""


PATTERNS: dict[PatternName, Pattern] = {
    "other-device": of_other_device,
    "names-slipped": names_slipped,
    "another-site": of_another_site,
    "other-tags": other_tags,
    "strange-file": strange_file,
    "replaced": replaced,
    "at-default": at_default,
    "misread": misread,
    "other-network": set_for_another,
    "gateway-off-plan": under_gateway,
    "gateway-against-nodes": against_nodes,
    "nodes-under-unplanned-gateway": under_unplanned_gateway,
    "silent-together": silent_together,
    "planned-series": planned_series,
    "planned-once": planned_once,
    "planned-swapped": planned_swapped,
    "one-limit": one_limit,
    "weak-links": weak_links,
    "against-plan": against_plan,
    "other-order": in_other_order,
    "filled-series": filled_series,
    "rows-shifted": rows_shifted,
    "neighbour-row": neighbour_row,
    "columns-shifted": columns_shifted,
    "other-unit": in_other_unit,
    "decimal-point": decimal_point,
    "shifted-by-one": shifted_by_one,
    "same-step": same_step,
    "became-dates": became_dates,
    "same-difference": same_difference,
    "swapped": swapped,
    "unclear-alike": unclear_alike,
    "undated": undated,
    "nameless-rows": nameless_rows,
    "unread": unread,
    "unread-device": unread_device,
    "respelled": respelled,
    "read-too-early": read_too_early,
    "same-finding": same_finding,
    "gateway-drifted": with_gateway,
    "unit-drifted": under_unit,
    "same-drift": same_drift,
}


def fold(
    site: Site,
    found: Sequence[Found],
    rules: Sequence[Rule],
    patterns: Mapping[PatternName, Pattern] = PATTERNS,
) -> tuple[list[Found], Causes]:
    """Return the findings with those that folding adds, and for each dependent finding its root cause."""
    items = list(found)
    causes: Causes = {}
    findings = Findings(site, items, causes)
    for symptom in under_symptoms(findings):
        link(causes, symptom.dependent, symptom.cause)
    for rule in rules:
        if isinstance(rule.check, Fold):
            for step in patterns[rule.check.pattern](findings, rule.check.at_least):
                _carry_out(step, rule, items, causes)
    for cause in join_alike(findings):
        _carry_out(cause, items[cause.dependents[0]].rule, items, causes)
    return items, {i: root_of(i, causes) for i in causes}


def _carry_out(step: Step, rule: Rule, items: list[Found], causes: Causes) -> None:
    """Add a finding of a rule that names a cause, put a finding under one, or take it out again."""
    if isinstance(step, Alone):
        del causes[step.dependent]
    elif isinstance(step, Under):
        link(causes, step.dependent, step.cause)
    else:
        items.append(Found(_in_words_of(step, rule), step.hit))
        for i in step.dependents:
            link(causes, i, len(items) - 1)


def _in_words_of(cause: Cause, rule: Rule) -> Rule:
    """Return a folding rule, with the words of the rule that its finding repeats if there is one."""
    its = cause.repeats
    if its is None:
        return rule
    remedy = its.remedy if cause.its_remedy_alone else f"{rule.remedy} {its.remedy}"
    words = {"why": its.why, "remedy": remedy, "source": its.source, "requirements": its.requirements}
    return rule.model_copy(update=words)
