"""The command line: finds the command, runs it, and turns every outcome into an exit code."""

from __future__ import annotations

import argparse
import errno
import io
import os
import signal
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, NoReturn, TextIO

from audit import __version__
from audit.cli import terminal
from audit.errors import (
    EXIT_INTERRUPTED,
    EXIT_NO_VERDICT,
    InputProblems,
    Problem,
    known_words,
    near,
    nearest,
    stop,
)  # fmt: skip

COMMANDS = (
    "check", "plan", "figures", "why", "worklist", "sheet", "enter", "sample", "summary", "seal", "drift",
    "history", "rules", "schema",
)  # fmt: skip


def main() -> NoReturn:
    """Run the command of this process and leave with its exit code."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by whoever started the program
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8"))
    sys.stdout = _buffered(sys.stdout)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a Windows console may use a code page without '→'
            stream.reconfigure(errors="backslashreplace")
    signal.signal(signal.SIGINT, _interrupted)
    signal.signal(signal.SIGTERM, _ended)
    closed = getattr(signal, "SIGHUP", None)  # the terminal was closed; there is none on Windows
    if closed and signal.getsignal(closed) is not signal.SIG_IGN:  # as nohup asks for
        signal.signal(closed, _ended)
    try:
        code = run(sys.argv[1:], sys.stdout, sys.stderr)
    except OSError:  # the message cannot be written either; only the exit code is left to say it
        code = EXIT_NO_VERDICT
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            _to_nowhere(stream)
    sys.exit(code)


def _buffered(stream: TextIO) -> TextIO:
    """Return a stream with a buffer, which PYTHONUNBUFFERED takes away.

    Without one, what a full disk does not take of a text is lost, and Python raises no error.
    """
    if not isinstance(getattr(stream, "buffer", None), io.RawIOBase):
        return stream
    return open(stream.fileno(), "w", encoding=stream.encoding, closefd=False)


def _has_gone(stdout: TextIO, error: OSError) -> bool:
    """Return whether the reader of a pipe has closed it, as `| head` does."""
    if error.errno != errno.EINVAL:
        return isinstance(error, BrokenPipeError)
    try:  # Windows reports it as an invalid argument, like other errors
        stdout.write("\n")
        stdout.flush()
    except OSError:
        return True
    return False


def _to_nowhere(stream: TextIO) -> None:
    """Redirect a stream that cannot be written to the null device, or Python would complain again at exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


_signals: list[int] = []
"""The signals that have arrived while a command ran."""


def _interrupted(number: int, _: object) -> NoReturn:
    """Interrupt, as Python does, and remember it."""
    _signals.append(number)
    raise KeyboardInterrupt


def _ended(number: int, _: object) -> NoReturn:
    """Leave when asked to end, so that no half-written file is left behind; the code is that of shells."""
    _signals.append(number)
    sys.exit(128 + number)


def run(arguments: Sequence[str], stdout: TextIO, stderr: TextIO) -> int:
    """Run a command and return its exit code. Raises nothing but the SystemExit of argparse."""
    args = argparse.Namespace(debug="--debug" in arguments)  # until they are parsed
    _signals.clear()
    try:
        args = _parsed(arguments)
        code = int(args.run(args, stdout, stderr))
        stdout.flush()
    except InputProblems as error:
        code = EXIT_NO_VERDICT if _signals else _tell(error, stderr)
    except KeyboardInterrupt:
        stderr.write("\ninterrupted; nothing was decided\n")
        return EXIT_INTERRUPTED
    except OSError as error:
        if _has_gone(stdout, error):
            _to_nowhere(sys.stdout)
            return EXIT_NO_VERDICT
        reason = error.strerror or type(error).__name__
        if error.filename is not None:
            mend = "check the name, ask for permission, or choose another folder"
            return _tell(stop(f"cannot be read or written: {reason}", mend, file=str(error.filename)), stderr)
        stderr.write(f"asfound: the report cannot be written: {reason}\n")
        return EXIT_NO_VERDICT
    except SystemExit:
        raise
    except BaseException as error:  # panics of Rust libraries are not Exceptions
        if args.debug:
            raise
        code = EXIT_NO_VERDICT
        if not _signals:
            fault = f"{type(error).__name__} (use --debug to see where)"
            stderr.write(f"asfound: internal fault, no verdict: {fault}\n")
    if _signals and code == EXIT_NO_VERDICT:
        # A library that a signal interrupts fails in a way of its own, which is not worth reporting.
        stderr.write("\ninterrupted; nothing was decided\n")
        code = 128 + _signals[-1]
    return code


def _parsed(arguments: Sequence[str]) -> argparse.Namespace:
    """Return the arguments; readback files may also follow options."""
    top = parser(arguments[0] if arguments else "")
    if not arguments:  # on stderr and without a verdict, so that a pipeline does not take it for a report
        top.exit(EXIT_NO_VERDICT, top.format_help())
    first = arguments[0]
    if first not in COMMANDS and os.path.exists(first):  # noqa: PTH110 -- Path refuses overlong texts
        top.error(f"no command before {first!r}; {known_words(COMMANDS)}")
    if not first.startswith("-") and first not in COMMANDS:
        top.error(f"unknown command {first!r}; {nearest(first, COMMANDS)}")
    if not any(name.startswith(first) for name in (*COMMANDS, *top._option_string_actions)):
        top.error(f"unknown: {first}{_like([first], top) or '; the options of a command follow it'}")
    args, rest = top.parse_known_args(arguments)
    files = not any(word.startswith("-") for word in rest)
    if rest and files and hasattr(args, "readback"):
        args.readback = [*args.readback, *map(Path, rest)]
    elif rest and files and hasattr(args, "words"):
        args.words = [*args.words, *rest]
    elif rest:
        args.parser.error(f"unknown: {' '.join(rest)}{_like(rest, args.parser)}")
    return args


def _like(rest: Sequence[str], command: argparse.ArgumentParser) -> str:
    """Return a hint at the options of a command that are spelt much like the first unknown one."""
    option = next((word[2:].partition("=")[0] for word in rest if word.startswith("--")), "")
    known = [name[2:] for name in command._option_string_actions]  # without the dashes, which all share
    close = [f"--{name}" for name in near(option, known)] if option else []
    return f"; nearest: {', '.join(close)}" if close else ""


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are cleaned for a terminal: what was typed may hold any character."""

    def exit(self, status: int = 0, message: str | None = None) -> NoReturn:
        """Leave, once what --help shows is written. Raises OSError where it cannot be."""
        sys.stdout.flush()
        super().exit(status, message)

    def error(self, message: str) -> NoReturn:
        """Say what is wrong with the arguments and leave."""
        from audit.phrases import clean

        cleaned = "\n".join(map(clean, message.split("\n")))
        problem = Problem(cleaned, f"`{self.prog} --help` shows how it is used", file=self.prog)
        self.exit(EXIT_NO_VERDICT, f"{problem}\n")


def parser(only: str = "") -> argparse.ArgumentParser:
    """Return the parser of all commands; where `only` names one, the others have no arguments."""
    top = _Parser(
        prog="asfound",
        description="Compare the planned settings of wireless instrument nodes with what was found on them.",
        epilog="`asfound COMMAND --help` shows examples and exit codes.",
    )
    top.add_argument("--version", action="version", version=f"asfound {__version__}")
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for name in COMMANDS:
        if only in COMMANDS and name != only:
            commands.add_parser(name)
            continue
        module: Any = import_module(f"audit.cli.{name}")
        command = commands.add_parser(name, help=module.HELP, description=module.HELP, epilog=module.EXAMPLES,
                                      formatter_class=argparse.RawDescriptionHelpFormatter)  # fmt: skip
        module.add_arguments(command)
        command.add_argument("--debug", action="store_true", help="show where an internal fault happened")
        command.set_defaults(run=module.run, parser=command)
    return top


def _tell(error: InputProblems, stderr: TextIO) -> int:
    from audit.cli import problem_text
    from audit.phrases import counted

    terminal.tell(problem_text.text(error.problems), stderr)
    stderr.write(f"asfound: no verdict: {counted(len(error.problems), 'problem')} in the input\n")
    return error.exit_code
