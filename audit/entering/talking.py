"""The dialogue with a person: ask, take the answer, save it, say what it means, until it is over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Protocol

from audit.entering.answering import answer, onward, start
from audit.entering.asking import ask
from audit.entering.progress import Progress
from audit.entering.saving import EntryFile, NotSaved, Signature
from audit.entering.state import Here, State, Work
from audit.errors import InputProblems, stop


class Console(Protocol):
    """Where a person, or a pipe, is asked."""

    patient: bool
    """Whether a person is there who can be asked again."""
    answers: int
    """How many answers were given so far."""

    def say(self, lines: Iterable[str]) -> None:
        """Show lines of text."""

    def read(self, prompt: str, choices: Iterable[str] = ()) -> str:
        """Return an answer. Raises EOFError when there are no more."""


UNCONFIRMED = (
    "  Saved, but this disk or share does not confirm that a value is on it.",
    "  Copy the file elsewhere when you have done, and eject a stick before you pull it out.",
)


def talk(work: Work, progress: Progress, file: EntryFile, signature: Signature, console: Console) -> None:
    """Ask until the person stops. Raises InputProblems.

    An answer from a pipe that is refused stops the run, since the answers after it would then be taken
    for something they were not meant for.
    """
    state = start(work)
    over = False
    while not over:
        question = ask(work, progress, state)
        console.say(question.head)
        try:
            text = console.read(question.prompt, question.choices)
        except EOFError:
            return
        reply = answer(Here(work, progress, state), text)
        if reply.refused and not console.patient:
            raise _of_answer(console, state, reply.say[0].strip().removesuffix("."))
        if reply.draft:
            confirmed = file.confirmed
            try:
                lines = file.append(reply.draft, signature)
            except NotSaved as error:
                _tell_not_saved(console, state, text, error)
                continue
            progress = progress.with_lines(lines, work.wanted)
            if confirmed and not file.confirmed:
                console.say(UNCONFIRMED)
        if reply.onward:
            then = onward(progress, reply.state)
            reply = replace(reply, state=then.state, say=(*reply.say, *then.say))
        console.say(reply.say)
        state, over = reply.state, reply.over


def _tell_not_saved(console: Console, state: State, text: str, error: NotSaved) -> None:
    """Say that a value is not in the file, with the value, so that it is not lost."""
    if not console.patient:
        raise _of_answer(console, state, f"{text!r} is not saved: {error}")
    console.say((f"  NOT SAVED: {text!r}. {error}.".replace("..", "."),
                 "  Everything before it is saved. Fix this and type it again; /quit stops."))  # fmt: skip


def _of_answer(console: Console, state: State, message: str) -> InputProblems:
    """Return why an answer from a pipe was refused. A new run begins with the choice of a device."""
    device = f", put a line with {state.device.tag} before it," if state.device else ""
    mend = f"correct this line{device} and give the answers from there on; everything before it is saved"
    return stop(message, mend, file="standard input", line=console.answers)
