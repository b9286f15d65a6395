"""A dialogue about one node: check by check, with the ranking after each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

from audit.diagnosis.asked import Asked, Outcome, Tried
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.examined import Case
from audit.diagnosis.log import Log
from audit.diagnosis.verdicts import STANDS_OUT, verdict_of
from audit.diagnosis.words import percent
from audit.errors import nearest
from audit.model.diagnosis import CheckNext, NodeDiagnosis
from audit.reading.values import plain

WORDS: dict[str, Outcome] = {
    **dict.fromkeys(("found", "f", "yes", "y"), "found"),
    **dict.fromkeys(("not found", "n", "no", "not"), "not found"),
    **dict.fromkeys(("unclear", "u"), "unclear"),
}
STOP = ("quit", "q", "stop", "exit", "/quit")
BACK = ("back", "undo", "b", "/back")
HELP = (
    "Answer found, not found or unclear (f, n, u), or name what was seen (--evidence lists all names). "
    "Type the name of another check to do that one first, ? to list all, back to take back the last answer, "
    "quit to end."
)
MOST_SHOWN = 4

Say = Callable[[str], None]


class Answer(NamedTuple):
    """Which check an answer is about, and what it says; neither if it was not understood."""

    check: str
    outcome: Outcome | None = None
    saw: tuple[str, ...] = ()


def talk(case: Case, asked: Asked, log: Log | None, answers: Iterator[str], say: Say) -> NodeDiagnosis:
    """Ask for the outcome of each check until the cause is settled, and return the last diagnosis."""
    node = diagnose(case, asked, log)
    say(verdict_of(node))
    say(HELP)
    chosen, presented = "", ""
    before: list[Asked] = []
    start = asked
    while node.checks and not _settled(case, node, asked, start):
        check = next((one for one in node.checks if one.id == chosen), node.checks[0])
        if check.id != presented:
            _present(check, node, case, say)
        presented = check.id
        say(f"{check.id}: found, not found or unclear?")
        answer = next(answers, None)
        if answer is None or answer.strip().casefold() in STOP:
            break
        if answer.strip().casefold() in BACK:
            said, then = Answer(""), before.pop() if before else asked
            say("Last answer taken back." if then != asked else "There is no answer to take back.")
        else:
            said = _understood(answer, check, node, case, say)
            then = _with(asked, said, case)
            before += [asked] if then != asked else []
        chosen = said.check if said.outcome is None else ""
        if then != asked:
            asked = then
            earlier, node = node, diagnose(case, asked, log)
            _show_changes(earlier, node, say)
    _close(node, say, settled=_settled(case, node, asked, start))
    return node


def _with(asked: Asked, said: Answer, case: Case) -> Asked:
    """Return what is asked, with an answer added."""
    if said.outcome:
        return asked.and_tried(Tried(said.check, said.outcome))
    if said.saw:
        there = any(check.id == said.check and check.where == "site" for check in case.causes.checks)
        return replace(asked.and_saw(said.saw, case.causes), there=asked.there or there)
    return asked


def _settled(case: Case, node: NodeDiagnosis, asked: Asked, start: Asked) -> bool:
    """Return whether a cause is probable enough, and a check has found something or a sight speaks for it."""
    first = node.causes[0]
    new = set(asked.saw) - set(start.saw)
    seen = any(one.id in new and one.number in first.speaks_for for one in node.evidence)
    found = seen or any(one.outcome == "found" for one in asked.tried)
    return found and first.posterior >= case.causes.settled_from


def _seen_by(name: str, case: Case) -> list[str]:
    """Return the answers that a check may give."""
    (check,) = [check for check in case.causes.checks if check.id == name]
    questions = {q.id: [answer.id for answer in q.answers] for q in case.causes.questions}
    return [answer for part in check.answered_by for answer in questions.get(part, [part])]


def _present(check: CheckNext, node: NodeDiagnosis, case: Case, say: Say) -> None:
    say("")
    if check.where == "site" and node.trip and node.trip.travel_minutes:
        trip = node.trip
        say(f"Trip to the node, travel {plain(round(trip.travel_minutes))} min: {trip.words}.")
        say(f"Take along: {', '.join(trip.take)}.")
    say(f"{check.id} ({check.where}, {plain(check.minutes)} min): {check.title}. {check.how}")
    if seen := _seen_by(check.id, case):
        say(f"Or say what was seen: {', '.join(seen)}.")


def _understood(answer: str, check: CheckNext, node: NodeDiagnosis, case: Case, say: Say) -> Answer:
    """Return the check that an answer names, if any, and what it says about it, if anything."""
    text = " ".join(answer.casefold().split())
    names = [one.id for one in node.checks]
    if text == "?":
        for one in node.checks:
            chance = f"{percent(one.chance)} chance"
            say(f"  {one.id} ({one.where}, {plain(one.minutes)} min): {one.title}; {chance}")
        return Answer(check.id)
    if text in WORDS:
        return Answer(check.id, WORDS[text])
    first, _, rest = text.partition(" ")
    if (first in names and not rest) or (first in {*names, *node.done} and rest in WORDS):
        return Answer(first, WORDS.get(rest))
    about, words = (first, rest) if first in names else (check.id, text)
    seen, answers = words.replace(",", " ").split(), case.causes.answers()
    if seen and answers.keys() >= set(seen):
        return Answer(about, saw=tuple(seen))
    say(f"not understood: {answer.strip()!r}. {HELP} ({nearest(first, [*names, *answers])})")
    return Answer(check.id)


def _show_changes(before: NodeDiagnosis, node: NodeDiagnosis, say: Say) -> None:
    earlier = {cause.id: cause.posterior for cause in before.causes}
    for cause in node.causes[:MOST_SHOWN]:
        say(f"  - {percent(cause.posterior)}, was {percent(earlier[cause.id])}: {cause.title}")


def _close(node: NodeDiagnosis, say: Say, *, settled: bool) -> None:
    first = node.causes[0]
    say("")
    say(verdict_of(node))
    if settled:
        say(f"remedy: {first.remedy}")
    elif not node.checks and first.posterior >= STANDS_OUT:
        say(f"No check is left, and the most probable cause still is. remedy: {first.remedy}")
    elif not node.checks:
        say("No check is left; try again what was unclear, or replace the node with the spare one.")
    else:
        say("Stopped before a check settled it.")
    for caution in node.cautions:
        say(caution)
    say(f"Once it is fixed: --record {first.id}{_said(node)} --log FILE, or whatever the cause was.")


def _said(node: NodeDiagnosis) -> str:
    """Return the options that repeat what a person has said, so that the log has it too."""
    seen = [one.id for one in node.evidence if one.source == "saw"]
    joined = f" --{node.joined_before}-joined" if node.joined_stated else ""
    return joined + (f" --saw {','.join(seen)}" if seen else "")
