"""asfound check: compare a plan with what was found, or check the plan alone."""

from __future__ import annotations

import argparse
import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import (
    files_read,
    print_made,
    readback_arguments,
    warn,
    without_garbage_collection,
    write_files,
)
from audit.cli.writing import check_target, outputs, write_whole
from audit.errors import EXIT_FINDINGS, EXIT_PASS, stop
from audit.reporting.formats import FORMATS, by_name, render

if TYPE_CHECKING:
    from audit.run import Done, Order

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
    options.add_plan(parser)
    options.add_readback(
        parser, "what was read: CSV, XLSX, ODS, JSON, JSONL or YAML files, or folders of them"
    )
    options.add_mapping(parser)
    options.add_files(parser, "--rules", "site rules, levels and gates")
    parser.add_argument(
        "--gate",
        metavar="NAME",
        help="handover (the default), annual, or one from the site rules; needs a READBACK",
    )
    options.add_fail_on(parser)
    options.add_files(parser, "--waivers", "differences that somebody has accepted")
    options.add_sample(parser, "; says what it shows (see `asfound sample`)")
    parser.add_argument(
        "--code-marks",
        metavar="FILE",
        type=options.file,
        help="compare exported access codes with those of other runs by keyed marks, and add these to FILE",
    )
    parser.add_argument(
        "--code-key",
        metavar="FILE",
        type=options.file,
        help="the site's key for these marks, kept away from the data (default: ASFOUND_CODE_KEY)",
    )
    options.add_since(parser)
    options.add_out(parser, "the result to a file, in the format of its ending")
    options.add_format(parser, FORMATS)
    options.add_detail(parser)
    options.add_on(parser)
    options.add_all(parser)
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Check, report, and return the exit code."""
    from audit import run as stages
    from audit.reading.codes import keyed_by

    if args.gate and not args.readback:
        raise stop("--gate: there is no READBACK to judge", "name the readback, or leave --gate out")
    files = outputs(args, FORMATS)
    wants = [by_name(args.format or "text"), *(form for _, form in files)]
    order = stages.Order(
        plan=args.plan,
        gate=args.gate or "handover",
        fail_on=args.fail_on,
        since=args.since,
        detail=args.detail or any(form.detail for form in wants),
        marks=args.code_marks,
        code_key=_code_key(args, [path for path, _ in files]),
        **readback_arguments(args),
    )
    progress = terminal.progress_on(stderr)
    with without_garbage_collection(), keyed_by(order.code_key):
        done = stages.run_whole(order, progress, lambda problem: warn(problem, stderr))
    result = done.result
    progress("")
    read = [*files_read(result.inputs), *map(str, filter(None, (args.since, args.code_marks)))]
    rendered = partial(render, result, detail=args.detail)
    _keep_marks(order, done)  # first: where they cannot be kept there is no result either
    write_files(files, read, rendered)
    print_made(args, result, FORMATS, stdout, rendered, args.all)
    return EXIT_PASS if result.verdict == "pass" else EXIT_FINDINGS


def _code_key(args: argparse.Namespace, written: list[Path]) -> bytes | None:
    """Return the site's key if marks of access codes are wanted, else None. Raises InputProblems."""
    if args.code_marks is None:
        if args.code_key:
            raise stop("--code-key needs --code-marks", "name the file of marks too")
        return None
    from audit.reading.code_keys import code_key

    check_target(args.code_marks)
    return code_key(args.code_key, [args.plan, *args.readback, args.code_marks, *written])


def _keep_marks(order: Order, done: Done) -> None:
    """Bring the file of marks up to date, if there is one. Other runs may be doing the same."""
    if order.marks is None or order.code_key is None:
        return
    import filelock

    from audit.disks import reason
    from audit.locking import holding, lock_of
    from audit.reading.code_marks import brought_up_to_date, marks_of, read_marks
    from audit.reading.inputs import Inputs

    now = list(marks_of(done.site, datetime.date.fromisoformat(done.result.run_on)))
    try:
        with lock_of(order.marks):
            known = read_marks(order.marks, order.code_key, done.site.plan.site, Inputs())
            write_whole(order.marks, brought_up_to_date(known, now, order.code_key))
    except (filelock.Timeout, OSError) as error:
        why = holding(error) if isinstance(error, filelock.Timeout) else reason(error)
        mend = "run the check again, once nothing else writes to the file"
        raise stop(f"not brought up to date: {why}", mend, file=order.marks.as_posix()) from None
