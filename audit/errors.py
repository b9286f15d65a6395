"""What stops a run: problems in the input, each with its place and how to correct it.

    InputProblems   one or more problems in files or arguments; no verdict, exit code 2

A finding about a node is never an error of this kind, and an unreadable file is never a finding.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import TypeVar

EXIT_PASS = 0
EXIT_FINDINGS = 1
EXIT_NO_VERDICT = 2
EXIT_INTERRUPTED = 130

Item = TypeVar("Item")
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input: where it is, what is wrong, and how to correct it."""

    message: str
    mend: str = ""
    file: str = ""
    sheet: str = ""
    line: int = 0
    column: str = ""

    def place(self) -> str:
        """Return the place as `file [sheet]:line:column`, leaving out what is not known."""
        text = f"{self.file} [{self.sheet}]" if self.sheet else self.file
        if self.line:
            text += f":{self.line}"
        if self.column:
            text += f":{self.column}"
        return text

    def __str__(self) -> str:
        place = self.place()
        text = f"{place}: {self.message}" if place else self.message
        return f"{text}\n    fix: {self.mend}" if self.mend else text


class InputProblems(Exception):  # noqa: N818 -- named for what it carries: all the problems of an input
    """The input cannot be used. Carries every problem that was found, not only the first."""

    exit_code = EXIT_NO_VERDICT

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(dict.fromkeys(problems))  # a file named by several others is read for each
        super().__init__("\n".join(map(str, self.problems)))


def stop(message: str, mend: str = "", **place: object) -> InputProblems:
    """Return an InputProblems of a single problem, to be raised."""
    return InputProblems([Problem(message, mend, **place)])  # type: ignore[arg-type]


def of_each(items: Iterable[Item], read: Callable[[Item], Made]) -> list[Made]:
    """Return what `read` makes of each item. Raises InputProblems with the problems of all of them."""
    made: list[Made] = []
    problems: list[Problem] = []
    for item in items:
        try:
            made.append(read(item))
        except InputProblems as error:
            problems += error.problems
    stop_if(problems)
    return made


def stop_if(problems: Collection[Problem]) -> None:
    """Raise InputProblems with all of these problems, if there are any."""
    if problems:
        raise InputProblems(problems)


def stop_at(option: str, error: ValueError) -> InputProblems:
    """Return what is wrong with an option, from an error whose remedy follows ` -- `."""
    message, _, mend = str(error).partition(" -- ")
    return stop(f"{option}: {message}", mend)


def first_line(error: Exception) -> str:
    """Return the first line of another library's error message, or the name of the error."""
    return next(iter(str(error).splitlines()), type(error).__name__)


MOST_NAMED = 12
FEW_MORE = 3
"""Up to this many more words are named as well: to count them would take as much room."""


def near(word: str, known: Iterable[str]) -> list[str]:
    """Return the known words that are spelt much like `word`, in any case: at most three, nearest first.

    Of words with as many characters in common, those that differ at the fewest positions are nearer.
    """
    import difflib

    wanted = word[:80].casefold()
    in_any_case = {word.casefold(): word for word in sorted(set(known))}
    close = difflib.get_close_matches(wanted, in_any_case, n=len(in_any_case) or 1, cutoff=0.6)

    def far(one: str) -> tuple[float, int, str]:
        alike = difflib.SequenceMatcher(None, one, wanted).ratio()
        return -alike, sum(a != b for a, b in zip_longest(one, wanted)), one

    return [in_any_case[one] for one in sorted(close, key=far)[:3]]


def known_words(words: Sequence[str], most: int = MOST_NAMED) -> str:
    """Return `known:`, the first few of some words, and how many more there are if these are many."""
    most = len(words) if len(words) <= most + FEW_MORE else most
    shown = [word if len(word) > 1 else repr(word) for word in words[:most]]
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return f"known: {', '.join(shown) or 'none'}{more}"


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a phrase naming the known words nearest to `word`, or else the first few known words."""
    words = sorted(set(known))
    close = near(word, words)
    return f"nearest: {', '.join(close)}" if close else known_words(words)
