"""A talk about one node: check by check, with the ranking after each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from audit.diagnosis.asked import Asked, Outcome, Tried
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.examined import Case
from audit.diagnosis.log import Log
from audit.diagnosis.site import STANDS_OUT, verdict_of
from audit.diagnosis.words import percent
from audit.errors import nearest
from audit.model.diagnosis import CheckNext, NodeDiagnosis
from audit.reading.values import plain

WORDS: dict[str, Outcome] = {
    **dict.fromkeys(("found", "f", "yes", "y"), "found"),
    **dict.fromkeys(("not found", "n", "no", "not"), "not found"),
    **dict.fromkeys(("unclear", "u"), "unclear"),
}
STOP = ("quit", "q", "stop", "exit")
HELP = (
    "Answer: found, not found or unclear (f, n, u). The name of another check takes that one first; "
    "? lists all; quit ends."
)
MOST_SHOWN = 4

Say = Callable[[str], None]


def talk(case: Case, asked: Asked, log: Log | None, answers: Iterator[str], say: Say) -> NodeDiagnosis:
    """Ask for the outcome of each check until the cause is settled, and return the last diagnosis."""
    node = diagnose(case, asked, log)
    say(verdict_of(node))
    say(HELP)
    chosen, told = "", ""
    while node.checks and not _settled(case, node, asked):
        check = next((one for one in node.checks if one.id == chosen), node.checks[0])
        if check.id != told:
            _present(check, node, say)
        told = check.id
        say(f"{check.id}: found, not found or unclear?")
        answer = next(answers, None)
        if answer is None or answer.strip().casefold() in STOP:
            break
        chosen, outcome = _understood(answer, check, node, say)
        if outcome:
            asked = replace(asked, tried=(*asked.tried, Tried(chosen or check.id, outcome)))
            before, node = node, diagnose(case, asked, log)
            _tell_moves(before, node, say)
            chosen = ""
    _close(node, say, settled=_settled(case, node, asked))
    return node


def _settled(case: Case, node: NodeDiagnosis, asked: Asked) -> bool:
    """Tell whether a check has found something, and one cause is probable enough."""
    found = any(one.outcome == "found" for one in asked.tried)
    return found and node.causes[0].posterior >= case.causes.settled_from


def _present(check: CheckNext, node: NodeDiagnosis, say: Say) -> None:
    say("")
    if check.where == "site" and node.trip and node.trip.travel_minutes:
        trip = node.trip
        say(f"Trip to the node, way {plain(round(trip.travel_minutes))} min: {trip.words}.")
        say(f"Take along: {', '.join(trip.take)}.")
    say(f"{check.id} ({check.where}, {plain(check.minutes)} min): {check.title}. {check.how}")


def _understood(answer: str, check: CheckNext, node: NodeDiagnosis, say: Say) -> tuple[str, Outcome | None]:
    """Return the check that an answer names, if any, and the outcome that it gives, if any."""
    text = " ".join(answer.casefold().split())
    names = [one.id for one in node.checks]
    if text == "?":
        for one in node.checks:
            say(f"  {one.id} ({one.where}, {plain(one.minutes)} min): {one.title}; {percent(one.chance)}")
        return check.id, None
    if text in WORDS:
        return check.id, WORDS[text]
    first, _, rest = text.partition(" ")
    if first in names and (not rest or rest in WORDS):
        return first, WORDS.get(rest)
    say(f"not understood: {answer.strip()!r}. {HELP} ({nearest(first, names)})")
    return check.id, None


def _tell_moves(before: NodeDiagnosis, node: NodeDiagnosis, say: Say) -> None:
    then = {cause.id: cause.posterior for cause in before.causes}
    for cause in node.causes[:MOST_SHOWN]:
        move = f"was {percent(then[cause.id])}"
        say(f"  - {percent(cause.posterior)}, {move}: {cause.title}")


def _close(node: NodeDiagnosis, say: Say, *, settled: bool) -> None:
    first = node.causes[0]
    say("")
    say(verdict_of(node))
    if settled:
        say(f"remedy: {first.remedy}")
    elif not node.checks and first.posterior >= STANDS_OUT:
        say(f"No check is left, and what is most probable still is. remedy: {first.remedy}")
    elif not node.checks:
        say("No check is left; what was unclear may be tried again, or the node exchanged for the spare one.")
    else:
        say("Stopped before a check has settled it.")
    for caution in node.cautions:
        say(caution)
    say(f"When it is mended: --record {first.id} --log FILE, or whatever the cause was.")
