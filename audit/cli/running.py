"""What commands that run the stages share: the date, the collector, warnings, and a result on stdout."""

from __future__ import annotations

import argparse
import datetime
import gc
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

from audit.cli import terminal
from audit.errors import Problem, stop
from audit.reporting.formats import Format, render

if TYPE_CHECKING:
    from audit.model.result import Result


def warn(problem: Problem, stderr: TextIO) -> None:
    """Tell what is wrong with an input that can be used all the same."""
    from audit.reporting.lines import clean

    if stderr.isatty():
        stderr.write("\r\x1b[K")  # wipes the progress line
    told = f"{problem.place()}: warning: {problem.message}", f"    mend: {problem.mend}"
    stderr.write("".join(f"{clean(line)}\n" for line in told))


def for_stdout(args: argparse.Namespace, result: Result, form: Format, stdout: TextIO) -> str | bytes:
    """Return what a command that has a result prints."""
    if form.name != "text":
        return render(result, form, detail=args.detail)
    from audit.reporting import text_report

    width, colour = terminal.columns(args.width, stdout), terminal.wants_colour(args.color, stdout)
    return text_report.render(result, width, colour, args.all)


@contextmanager
def no_search_for_rings() -> Iterator[None]:
    """Stop the collector of rings of objects: a run keeps nearly all it makes, and looking takes a third."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def run_date(given: str | None) -> str:
    """Return the run's date in ISO form: as given, else SOURCE_DATE_EPOCH, else today."""
    if given is not None:
        try:
            return datetime.date.fromisoformat(given).isoformat()
        except ValueError:
            raise stop(f"--on {given!r} is not a date", "write it as 2026-03-31") from None
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch:
        try:
            return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC).date().isoformat()
        except (ValueError, OverflowError, OSError):
            raise stop(
                f"SOURCE_DATE_EPOCH {epoch!r} is not a time", "give whole seconds since 1970"
            ) from None
    return datetime.date.today().isoformat()
