"""asfound drift: what has changed since a baseline, and who allowed it."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TextIO

from audit.cli import options, terminal
from audit.cli.running import (
    files_read,
    print_made,
    readback_arguments,
    warn,
    without_garbage_collection,
    write_files,
)
from audit.cli.writing import outputs
from audit.errors import EXIT_FINDINGS, EXIT_PASS
from audit.reporting.formats import DRIFT_FORMATS, by_name, render

HELP = "show what has changed since a baseline, and who allowed it"
EXAMPLES = """examples:
  asfound drift 2026.json readback
  asfound drift 2026.json readback --plan plan.yaml --changes changes.yaml --out drift.html
  asfound drift 2026.json readback --quiet --out drift.patch.json

To see one, seal an example first:
  asfound seal examples/tarnbeck/plan.yaml examples/tarnbeck/as-left --signed-by "R. Sample" --out b.json
  asfound drift b.json examples/tarnbeck/as-found --plan examples/tarnbeck/plan.yaml

Change records (`asfound schema changes`) explain exactly what they name:
  asfound: changes/1
  changes:
    - {id: C-26-014, node: PT-31, setting: high_alarm, from: 780, to: 760,
       approved_by: I. Placeholder, date: 2026-05-12, work_order: WO-5521}
    - {id: C-26-015, what: exchange, node: PT-33, to: "410977", approved_by: I. Placeholder, date: 2026-06-02}

Drift that a record explains is a note; without a record it is an error. `asfound seal --verify` says whether
the baseline and its chain can be trusted.

exit codes:
  0  nothing at or above the gate's level
  1  findings at or above the gate's level
  2  no verdict: input missing, unreadable, altered or invalid, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument(
        "baseline", metavar="BASELINE", type=options.file, help="a file that `asfound seal` has written"
    )
    parser.add_argument(
        "readback",
        metavar="READBACK",
        type=options.file,
        nargs="+",
        help="what was read this time: files or folders",
    )
    parser.add_argument(
        "--plan", metavar="FILE", type=options.file, help="the plan as it is now, to compare both with"
    )
    options.add_files(parser, "--changes", "change records")
    options.add_files(parser, "--waivers", "accepted differences")
    options.add_files(parser, "--rules", "site rules, levels and gates")
    options.add_sample(parser, " (needs --plan, from which it was drawn)")
    options.add_mapping(parser)
    parser.add_argument(
        "--gate",
        metavar="NAME",
        default="drift",
        help="drift (the default), handover, annual, or one from the site rules",
    )
    options.add_fail_on(parser)
    options.add_since(parser)
    options.add_out(parser, "the result to a file, in the format of its ending")
    options.add_format(parser, DRIFT_FORMATS)
    options.add_detail(parser)
    options.add_on(parser)
    options.add_all(parser)
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Compare, report, and return the exit code."""
    from audit.drifting import running

    files = outputs(args, DRIFT_FORMATS)
    wants = [by_name(args.format or "text", DRIFT_FORMATS), *(form for _, form in files)]
    order = running.DriftOrder(
        baseline=args.baseline,
        plan=args.plan,
        changes=args.changes,
        gate=args.gate,
        fail_on=args.fail_on,
        since=args.since,
        detail=args.detail or any(form.detail for form in wants),
        patch=any(form.patch for form in wants),
        **readback_arguments(args),
    )
    progress = terminal.progress_on(stderr)
    with without_garbage_collection():
        result = running.run(order, progress, lambda problem: warn(problem, stderr))
    progress("")
    rendered = partial(render, result, detail=args.detail)
    write_files(files, [*files_read(result.inputs), *map(str, filter(None, [args.since]))], rendered)
    print_made(args, result, DRIFT_FORMATS, stdout, rendered, args.all)
    return EXIT_PASS if result.verdict == "pass" else EXIT_FINDINGS
