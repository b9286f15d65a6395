"""How a command prints for a person: colour, width, and the stage of a long run."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import time
from collections.abc import Callable
from typing import TextIO

from audit.cli import options
from audit.errors import stop


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments that say how text is printed."""
    parser.add_argument(
        "--color",
        choices=("auto", "always", "never"),
        default="auto",
        help="colour on a terminal (the default), always or never; NO_COLOR is honoured",
    )
    parser.add_argument(
        "--width", metavar="N", type=width_argument, help="columns of text (default: the terminal's, or 80)"
    )
    parser.add_argument(
        "--quiet", action="store_true", help="print only problems with the input; the exit code says the rest"
    )


def width_argument(text: str) -> int:
    """Return a width in columns, for argparse."""
    width = options.whole(text)
    if width < 20:
        raise argparse.ArgumentTypeError(f"{text} is too narrow, give at least 20 columns")
    return width


def columns(given: int | None, stream: TextIO) -> int:
    """Return the columns to print: as given, else those of a terminal, else 80."""
    return given or (shutil.get_terminal_size().columns if stream.isatty() else 80)


def wants_colour(choice: str, stream: TextIO) -> bool:
    """Return whether to colour: the option decides, then NO_COLOR, then whether it is a terminal."""
    if choice != "auto":
        return choice == "always"
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return stream.isatty()


def answers() -> TextIO:
    """Return standard input, to read answers from. Raises InputProblems where it is closed.

    A pipe is read as UTF-8 on every system, as our files are, not in the system's code page.
    """
    if sys.stdin is None:  # a program may be started with it closed
        raise stop(
            "there is nobody to ask: standard input is closed", "start it at a terminal, or pipe answers in"
        )
    if hasattr(sys.stdin, "reconfigure"):
        encoding = None if sys.stdin.isatty() else "utf-8-sig"
        sys.stdin.reconfigure(encoding=encoding, errors="backslashreplace")
    return sys.stdin


def look(args: argparse.Namespace, stream: TextIO) -> tuple[int, bool]:
    """Return the columns of a text on a stream, and whether it is coloured."""
    return columns(args.width, stream), wants_colour(args.color, stream)


def tell(text: str, stream: TextIO) -> None:
    """Write a message, cleaned, in place of the progress line."""
    from audit.phrases import clean

    wipe = "\r\x1b[K" if stream.isatty() else ""
    stream.write(wipe + "".join(f"{clean(line)}\n" for line in text.split("\n")))


def progress_on(stream: TextIO) -> Callable[[str], None]:
    """Return a function that shows the stage of a long run, on a terminal only."""
    started = time.monotonic()

    def show(stage: str) -> None:
        if stream.isatty() and time.monotonic() - started > 0.7:
            stream.write(f"\r\x1b[K{stage}{' …' if stage else ''}")
            stream.flush()

    return show
