"""asfound check: compare a plan with what was found, or check the plan alone."""

from __future__ import annotations

import argparse
import datetime
import gc
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import terminal
from audit.cli.writing import check_target, form_of, keep_apart, write_to, write_whole
from audit.errors import EXIT_FINDINGS, EXIT_PASS, Problem, stop
from audit.reporting.formats import NAMES, Format, by_name, render

if TYPE_CHECKING:
    from audit.model.result import Result

HELP = "compare a plan with what was found, or check the plan alone"
EXAMPLES = """examples:
  asfound check examples/merrow-vale/plan.yaml examples/merrow-vale/as-found
  asfound check examples/merrow-vale/plan.yaml
  asfound check plan.yaml sheet.csv export.json --gate annual --out result.json
  asfound check plan.yaml readback --out report.html --out punch-list.xlsx
  asfound check plan.yaml readback --format markdown --quiet --out -

exit codes:
  0  nothing at or above the gate's level
  1  findings at or above the gate's level
  2  no verdict: input missing, unreadable or invalid, nothing to check, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("plan", metavar="PLAN", type=Path, help="the plan (YAML or JSON)")
    parser.add_argument(
        "readback",
        metavar="READBACK",
        type=Path,
        nargs="*",
        help="what was read: CSV, XLSX, ODS, JSON, JSONL or YAML files, or folders of them",
    )
    parser.add_argument(
        "--mapping",
        metavar="FILE",
        type=Path,
        help="how to read files that were not made for asfound",
    )
    parser.add_argument(
        "--rules",
        metavar="FILE",
        type=Path,
        action="append",
        default=[],
        help="site rules, levels and gates; may be repeated",
    )
    parser.add_argument(
        "--gate",
        metavar="NAME",
        default="handover",
        help="handover (the default), annual, or one of the site rules",
    )
    levels = ("error", "warning", "note")  # not from the models: they take longer to import than --help may
    parser.add_argument("--fail-on", choices=levels, help="lowest level that fails the run")
    parser.add_argument(
        "--waivers",
        metavar="FILE",
        type=Path,
        action="append",
        default=[],
        help="differences that somebody has accepted; may be repeated",
    )
    parser.add_argument("--since", metavar="FILE", type=Path, help="an earlier result (JSON) to compare with")
    parser.add_argument(
        "--out",
        metavar="FILE",
        action="append",
        default=[],
        help="write the result to a file, in the format of its ending; - is stdout; may be repeated",
    )
    parser.add_argument(
        "--format",
        metavar="FORMAT",
        choices=NAMES,
        help=f"format of stdout, and of files whose ending tells none: {', '.join(NAMES)}",
    )
    parser.add_argument("--detail", action="store_true", help="list every device in a JSON result")
    parser.add_argument(
        "--on",
        metavar="DATE",
        help="the run's date, for instance 2026-03-31; also SOURCE_DATE_EPOCH",
    )
    parser.add_argument("--all", action="store_true", help="print every cause, not only the first 100")
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Check, report, and return the exit code."""
    from audit import run as stages

    files = [(Path(path), form_of(path, args.format)) for path in args.out if path != "-"]
    for path, _ in files:
        check_target(path)
    on_stdout = by_name(args.format or "text")
    wants = [form for _, form in files] + [on_stdout]
    detail = args.detail or any(form.detail for form in wants)
    order = stages.Order(args.plan, args.readback, args.mapping, args.rules, args.gate, args.fail_on,
                         run_date(args.on), args.waivers, args.since, detail)  # fmt: skip
    progress = terminal.progress_on(stderr)
    with no_search_for_rings():
        result = stages.run(order, progress, lambda problem: warn(problem, stderr))
    progress("")
    keep_apart([path for path, _ in files], (file.file for file in result.inputs if file.kind != "not read"))
    for path, form in files:
        write_whole(path, render(result, form, detail=args.detail))
    if not args.quiet or "-" in args.out:
        write_to(stdout, for_stdout(args, result, on_stdout, stdout))
    return EXIT_PASS if result.verdict == "pass" else EXIT_FINDINGS


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
