"""Consoles: a terminal with completion, or plain lines where answers come from a pipe."""

from __future__ import annotations

import os
import shutil
import signal
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import TextIO

from audit.errors import EXIT_INTERRUPTED
from audit.phrases import clean
from audit.reading.quoting import HIDDEN_QUOTE, holds_code

MOST_COLUMNS = 100
"""Wider lines are hard to read."""
PATIENCE = 4.0
"""Seconds after which a program that was asked to end does so, whatever it is waiting for."""


def shown(lines: Iterable[str], width: int) -> str:
    """Return lines as they are shown: without control characters, wrapped with their own indentation.

    A path that is longer than a line stays whole, so that it can be copied.
    """
    rows: list[str] = []
    for line in lines:
        text = clean(line)
        indent = " " * (len(text) - len(text.lstrip()) + 2)
        wrapped = textwrap.wrap(
            text, width, subsequent_indent=indent, break_on_hyphens=False, break_long_words=False
        )
        rows += [text] if len(text) <= width else wrapped
    return "".join(f"{row}\n" for row in rows)


class PlainConsole:
    """Lines in, lines out. Answers from a pipe are repeated, so that a log makes sense."""

    def __init__(self, stdin: TextIO, stdout: TextIO) -> None:
        self._stdin, self._stdout = stdin, stdout
        self.patient = stdin.isatty()
        self.answers = 0

    def say(self, lines: Iterable[str]) -> None:
        """Show lines of text."""
        self._stdout.write(shown(lines, 80))
        self._stdout.flush()

    def read(self, prompt: str, choices: Iterable[str] = ()) -> str:  # noqa: ARG002 -- nothing is completed
        """Return the next line. Raises EOFError after the last one."""
        self._stdout.write(clean(prompt))
        self._stdout.flush()
        line = self._stdin.readline()
        if not line:
            self._stdout.write("\n")
            raise EOFError
        self.answers += 1
        text = line.rstrip("\r\n")
        if not self.patient:
            self._stdout.write(f"{HIDDEN_QUOTE if holds_code(text) else clean(text)}\n")
        return text

    def end(self) -> None:
        """Raise KeyboardInterrupt, also while a line is waited for."""
        raise KeyboardInterrupt


class TerminalConsole:
    """A terminal: TAB completes, nothing is remembered, and no colour is needed."""

    patient = True

    def __init__(self, stdout: TextIO) -> None:
        # Without this it asks the terminal where the cursor is, which plain terminals never answer.
        os.environ.setdefault("PROMPT_TOOLKIT_NO_CPR", "1")
        from prompt_toolkit import PromptSession
        from prompt_toolkit.history import DummyHistory
        from prompt_toolkit.output import ColorDepth
        from prompt_toolkit.shortcuts import CompleteStyle

        self._stdout = stdout
        self._session: PromptSession[str] = PromptSession(
            history=DummyHistory(),
            color_depth=ColorDepth.DEPTH_1_BIT,
            complete_style=CompleteStyle.READLINE_LIKE,
            complete_while_typing=False,
            reserve_space_for_menu=0,
            enable_suspend=True,
        )
        self.answers = 0
        self._told_to_end = False

    def say(self, lines: Iterable[str]) -> None:
        """Show lines of text."""
        width = min(MOST_COLUMNS, max(40, shutil.get_terminal_size().columns - 1))
        self._stdout.write(shown(lines, width))
        self._stdout.flush()

    def read(self, prompt: str, choices: Iterable[str] = ()) -> str:
        """Return what is typed. Raises EOFError for Ctrl-D, KeyboardInterrupt for Ctrl-C and from `end`."""
        from prompt_toolkit.completion import WordCompleter

        completer = WordCompleter([clean(word) for word in choices], ignore_case=True, sentence=True)
        text = self._session.prompt(
            clean(prompt), completer=completer, pre_run=self._leave, handle_sigint=False
        )
        self.answers += 1
        return text

    def end(self) -> None:
        """Leave the present prompt, or else the next one: what was typed before it is saved first.

        An exception raised inside the loop that waits for keys is sometimes swallowed by it, or leaves the
        terminal without echo. So the loop itself is asked to leave.
        """
        self._told_to_end = True
        loop = self._session.app.loop
        if loop:
            loop.call_soon_threadsafe(self._leave)

    def _leave(self) -> None:
        app = self._session.app
        if self._told_to_end and app.is_running and not app.is_done:
            app.exit(exception=KeyboardInterrupt())


@contextmanager
def ended_by_signals(end: Callable[[], None]) -> Iterator[None]:
    """Let requests to end (Ctrl-C, SIGTERM, a closed terminal) call `end`, and leave the terminal in order.

    Something may still wait for ever, for instance for a terminal that is stopped or gone. So the program
    ends after a moment in any case: what was entered is saved, and its file must not stay locked.
    """
    restore = _terminal_settings()

    def leave_at_once(*_: object) -> None:
        restore()
        os._exit(EXIT_INTERRUPTED)

    def interrupt(number: int, frame: FrameType | None) -> None:
        if sys.platform != "win32":
            signal.signal(signal.SIGALRM, leave_at_once)
            signal.setitimer(signal.ITIMER_REAL, PATIENCE)
        end()

    names = ("SIGINT", "SIGTERM", "SIGHUP")
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before: list[tuple[int, Callable[..., object] | int | None]] = []
    try:
        before = [(number, signal.signal(number, interrupt)) for number in numbers]
        yield
    finally:
        if sys.platform != "win32":
            signal.setitimer(signal.ITIMER_REAL, 0)
        for number, handler in before:
            signal.signal(number, handler)


def _terminal_settings() -> Callable[[], None]:
    """Return a function that restores the present settings of the terminal."""
    if sys.platform == "win32" or not sys.stdin.isatty():
        return lambda: None
    import termios

    terminal = sys.stdin.fileno()
    settings = termios.tcgetattr(terminal)

    def restore() -> None:
        with suppress(termios.error):  # the terminal may have gone
            termios.tcsetattr(terminal, termios.TCSANOW, settings)

    return restore
