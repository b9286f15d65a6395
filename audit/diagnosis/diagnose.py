"""The diagnosis of one node: what is known, the causes by probability, the next checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from audit.diagnosis.asked import Asked
from audit.diagnosis.cautions import cautions
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.elsewhere import heard_by
from audit.diagnosis.gathering.work import Past, past
from audit.diagnosis.known import Gathered, Known, gather, still_finds
from audit.diagnosis.lists import Sighting
from audit.diagnosis.log import Log
from audit.diagnosis.missing import State, read_since, silent_after_s, state_of
from audit.diagnosis.order import (
    Option,
    Order,
    best_order,
    expected_minutes,
    finding,
    order_from_there,
    unresolved,
)
from audit.diagnosis.other_serials import is_still_on, old_unit_words
from audit.diagnosis.posterior import factor, posterior
from audit.diagnosis.trip import gateway_way_minutes, is_there, travel_minutes, trip
from audit.diagnosis.weights import chance_joined, mixed, weights
from audit.diagnosis.words import duration
from audit.judging.findings import evidence_place
from audit.model.diagnosis import CauseNow, CheckNext, EvidenceUsed, NodeDiagnosis, Trip
from audit.model.result import EvidencePlace
from audit.model.table import in_file
from audit.reading.heard import NEVER
from audit.reading.quoting import quoted

SPEAKS_FOR, SPEAKS_AGAINST = 1.25, 0.8
"""Evidence whose factor for a cause is at least the first speaks for it; at most the second, against it."""
DIGITS = 6
"""Decimal places of probabilities, so that all machines write the same."""


def diagnose(case: Case, asked: Asked, log: Log | None = None) -> NodeDiagnosis:
    """Return why a node does not join. Raises InputProblems for a start that is no position."""
    causes = case.causes
    gathered = gather(case, asked)
    known = gathered.known
    before = past_of(case, asked)
    prior, never, was = priors(case, before, log)
    likelihoods = [one.likelihoods for one in known]
    now = posterior(prior, likelihoods)
    travel, basis = travel_minutes(case, asked)
    done, moot = checks_done(case, known, asked), checks_moot(case, gathered)
    to_gateway = gateway_way_minutes(case, asked)
    options = [
        Option(c.id, c.minutes + (to_gateway if c.where == "gateway" else 0), still_finds(c, known))
        for c in causes.checks if c.id not in (*done, *moot)
    ]  # fmt: skip
    order = _order(case, asked, now, options, travel)
    state, seen = state_of(case.examined, case.target)
    the_trip: Trip | None = trip(case, order, now, basis)
    return NodeDiagnosis(
        node=case.tag,
        network=case.network,
        gateway=case.gateway_tag,
        serial=case.serial or None,
        location=case.block.locations[case.i] or None,
        state=state,
        heard_by=heard_by(case) if state != "heard" else None,
        state_words=_state_words(case, state, seen),
        state_places=_state_places(case, seen),
        joined_before=before.joined,
        joined_stated=before.stated,
        joined_words=before.words,
        joined_places=[evidence_place(place) for place in before.places],
        settled=max(now.values()) >= case.causes.settled_from,
        causes=_causes(case, known, prior, now, (posterior(never, likelihoods), posterior(was, likelihoods))),
        evidence=[_evidence(n, one, prior) for n, one in enumerate(known, 1)],
        mend_first=[words for one in known for words in one.mend],
        checks=[_check(case, option, now) for option in order.checks],
        trip=the_trip,
        expected_minutes=round(expected_minutes(now, order), 1),
        none_finds=round(unresolved(now, order.checks), DIGITS),
        done=done,
        not_known=list(gathered.unknown),
        cautions=cautions([case.block.type, case.gateway[0].type], trip=the_trip is not None),
    )


def _order(
    case: Case, asked: Asked, now: Mapping[str, float], options: Sequence[Option], travel: float
) -> Order:
    """Return the best order of the remaining checks."""
    at_node = {check.id for check in case.causes.checks if check.where == "site"}
    desk, site = ([o for o in options if (o.id in at_node) == wanted] for wanted in (False, True))
    if is_there(case.causes, asked):
        return order_from_there(now, desk, site)
    return best_order(now, desk, site, travel)


def past_of(case: Case, asked: Asked) -> Past:
    """Return whether the node had joined before: as stated, or as the files show."""
    if asked.joined is None:
        return past(case)
    words = {"was": "it had joined before, as stated", "never": "it has never joined, as stated"}
    return Past(asked.joined, True, words[asked.joined])


def priors(
    case: Case, before: Past, log: Log | None
) -> tuple[Mapping[str, float], Mapping[str, float], Mapping[str, float]]:
    """Return the weights for the node, for one that has never joined, and for one that had."""
    never, was = (
        weights(case.causes, joined, log.counts(joined) if log else {}) for joined in ("never", "was")
    )
    return mixed(never, was, chance_joined(before, case.causes.errors.readback)), never, was


def checks_done(case: Case, known: Sequence[Known], asked: Asked) -> list[str]:
    """Return the checks that are as good as done: tried, or all their questions answered."""
    tried = {one.check for one in asked.tried}
    return [c.id for c in case.causes.checks if c.id in tried or not still_finds(c, known)]


def checks_moot(case: Case, gathered: Gathered) -> list[str]:
    """Return the checks that are of no use at this site, since none of their questions arise."""
    return [c.id for c in case.causes.checks if c.answered_by and gathered.moot.issuperset(c.answered_by)]


def _causes(
    case: Case,
    known: Sequence[Known],
    prior: Mapping[str, float],
    now: Mapping[str, float],
    either: tuple[Mapping[str, float], Mapping[str, float]],
) -> list[CauseNow]:
    found = []
    for cause in sorted(case.causes.causes, key=lambda cause: -round(now[cause.id], DIGITS)):
        factors = [factor(cause.id, prior, one.likelihoods) for one in known]
        found.append(CauseNow(
            id=cause.id,
            title=cause.title,
            prior=round(prior[cause.id], DIGITS),
            posterior=round(now[cause.id], DIGITS),
            if_never_joined=round(either[0][cause.id], DIGITS),
            if_was_joined=round(either[1][cause.id], DIGITS),
            speaks_for=[n for n, times in enumerate(factors, 1) if times >= SPEAKS_FOR],
            speaks_against=[n for n, times in enumerate(factors, 1) if times <= SPEAKS_AGAINST],
            remedy=cause.remedy,
        ))  # fmt: skip
    return found


def _evidence(number: int, one: Known, prior: Mapping[str, float]) -> EvidenceUsed:
    return EvidenceUsed(
        number=number,
        id=one.id,
        question=one.question,
        words=one.words,
        source=one.source,
        error=one.error,
        places=[evidence_place(place) for place in one.places],
        likelihoods={cause: round(chance, DIGITS) for cause, chance in one.likelihoods.items()},
        factors={cause: round(factor(cause, prior, one.likelihoods), DIGITS) for cause in prior},
    )


def _check(case: Case, option: Option, now: Mapping[str, float]) -> CheckNext:
    check = next(check for check in case.causes.checks if check.id == option.id)
    finds = sorted(option.finds, key=lambda cause: -now[cause] * option.finds[cause])
    return CheckNext(
        id=check.id,
        title=check.title,
        where=check.where,
        minutes=check.minutes,
        chance=round(finding(now, option), DIGITS),
        finds=finds,
        how=check.how,
        take=list(check.take),
    )


def _state_places(case: Case, seen: Sighting | None) -> list[EvidencePlace]:
    """Return the row that shows the state of the node, or the whole list if it has no row of it."""
    newest = case.examined.lists.newest(case.network)
    whole = [in_file(name) for name in newest.files] if newest and not newest.at_nodes else []
    return [evidence_place(place) for place in ([seen.heard_place or seen.place] if seen else whole)]


def _state_words(case: Case, state: State, seen: Sighting | None) -> str:
    gateway = case.gateway_tag
    newest = case.examined.lists.newest(case.network)
    day = newest.of_day(case.examined.on) if newest else ""
    if state == "heard" and seen:
        overtaken = case.network in case.examined.lists.overtaken
        joined = "it had joined then; what has happened since is not known" if overtaken else "it has joined"
        return f"{seen.listed(gateway, day, on=case.examined.on)}, so {joined}{_other_serial(case, seen)}"
    limit = duration(silent_after_s(case.examined, case.target))
    if state == "silent" and seen and seen.at_node:
        after = "" if seen.heard_s == NEVER else f"; it counts as silent after {limit}"
        return seen.read_at_node(gateway, case.examined.on) + after
    if state == "silent" and seen and seen.heard_s == NEVER:
        says = f"has {quoted(seen.heard)} where others say" if seen.heard else "does not say, as others do,"
        return f"its row in the list of {gateway}{day} {says} when it was heard"
    if state == "silent" and seen and seen.heard_s is not None:
        ago = duration(seen.heard_s)
        return f"{gateway} had last heard it {ago} before its list{day}; it counts as silent after {limit}"
    if state == "not listed":
        since = read_since(case.examined, case.target)
        if newest and since:
            day = f" of {newest.read_at}, which is older than its reading of {since}: take a new list first"
        return f"it is not in the list of {gateway}{day}{newest.unplanned() if newest else ''}"
    return f"no list of {gateway} was given; the node is assumed to be missing, since you ask about it"


def _other_serial(case: Case, seen: Sighting) -> str:
    """Return what to add for a node that is listed under a serial number that it should not have."""
    if case.exchange and is_still_on(seen, case.exchange):
        return old_unit_words(seen, case.exchange)
    if not seen.under:
        return ""
    if seen.change:
        unit = f", as {seen.under}, the unit of change {seen.change}"
        return f"{unit}: put it in the plan{f' instead of {case.serial}' if case.serial else ''}"
    return f", as {seen.under}, planned {case.serial}: read at the node which of the two it is"
