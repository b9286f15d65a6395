"""What several commands share: the run's date, garbage collection, warnings, and writing results."""

from __future__ import annotations

import argparse
import datetime
import gc
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from audit.cli import terminal
from audit.cli.writing import keep_apart, write_all, write_file, write_text
from audit.errors import Problem, stop
from audit.reporting.formats import Format, by_name

if TYPE_CHECKING:
    from audit.model.used import InputFile


def warn(problem: Problem, stderr: TextIO) -> None:
    """Print a warning about an input that can still be used."""
    terminal.tell(str(replace(problem, message=f"warning: {problem.message}")), stderr)


def write_files(
    files: Sequence[tuple[Path, Format]], read: Iterable[str], render: Callable[[Format], str | bytes]
) -> None:
    """Write what a command has made to files, each in its format; none may be a file that was read."""
    keep_apart([path for path, _ in files], read)
    write_all((path, render(form)) for path, form in files)


def print_made(
    args: argparse.Namespace,
    made: object,
    forms: Sequence[Format],
    stdout: TextIO,
    render: Callable[[Format], str | bytes],
    *more: object,
) -> None:
    """Print what a command has made, unless --quiet was given; text in the width and colour of stdout.

    `more` goes to the text writer after width and colour.
    """
    if args.quiet and "-" not in args.out:
        return
    form = by_name(args.format or "text", forms)
    if form.name == "text":
        write_text(stdout, form.write(made, *terminal.look(args, stdout), *more))
    else:
        write_file(stdout, render(form))


def readback_arguments(args: argparse.Namespace) -> dict[str, Any]:
    """Return the arguments that all commands that judge a readback have, as keywords of their orders."""
    names = ("readback", "mapping", "rules", "waivers", "sample")
    return {name: getattr(args, name) for name in names} | {"run_on": run_date(args.on)}


def files_read(inputs: Iterable[InputFile]) -> list[str]:
    """Return the names of the files that were read: no output may overwrite them."""
    return [file.file for file in inputs if file.kind != "not read"]


def json_files(named: Sequence[Path], kind: str, stderr: TextIO) -> list[Path]:
    """Return the files named, and of each folder its JSON files but SARIF and our files of another kind.

    Raises InputProblems for a folder that holds none, and OSError for one that may not be read.
    """
    paths: list[Path] = []
    for path in named:
        inside = _of_kind(path, kind, stderr) if path.is_dir() else [path]
        if not inside:
            raise stop(f"has no {kind}s", f"name a folder with {kind}s in JSON", file=path.as_posix())
        paths += inside
    return paths


def _of_kind(folder: Path, kind: str, stderr: TextIO) -> list[Path]:
    """Return the JSON files of a folder. Our files of another kind, and folders, are skipped and reported."""
    from audit.reading.files import inside, is_hidden, marked
    from audit.reading.own_files import kind_of_file

    there = dict.fromkeys(marked(path) or path for path in inside(folder))
    seen = [path for path in there if not is_hidden(path)]
    for path in filter(_holds_json, seen):
        terminal.tell(f"{path.as_posix()}: skipped, a folder in a folder; to read it, name it too", stderr)
    files = [path for path in seen if _is_json(path) and not path.is_dir()]
    kinds = {file: kind_of_file(file) for file in files}
    for file, its_kind in kinds.items():
        if its_kind not in ("", kind):
            terminal.tell(f"{file.as_posix()}: skipped, a {its_kind}", stderr)
    return [file for file, its_kind in kinds.items() if its_kind in ("", kind)]


def _is_json(path: Path) -> bool:
    """Return whether a file may be one of ours in JSON, judging by its name; SARIF is for others."""
    name = path.name.lower()
    return name.endswith(".json") and not name.endswith(".sarif.json")


def _holds_json(path: Path) -> bool:
    """Return whether this is a folder with files that may be ours; not if it may not be looked into."""
    from audit.reading.files import inside, is_hidden

    try:
        return path.is_dir() and any(_is_json(one) and not is_hidden(one) for one in inside(path))
    except OSError:
        return False


@contextmanager
def without_garbage_collection() -> Iterator[None]:
    """Pause the garbage collector: a run keeps nearly all its objects, and collecting takes a third of it."""
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
    fixed = source_date()
    return (fixed.date() if fixed else datetime.date.today()).isoformat()


def source_date() -> datetime.datetime | None:
    """Return the time that SOURCE_DATE_EPOCH gives, None where it is not set. Raises InputProblems."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    try:
        return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC) if epoch else None
    except (ValueError, OverflowError, OSError):
        raise stop(f"SOURCE_DATE_EPOCH {epoch!r} is not a time", "give whole seconds since 1970") from None
