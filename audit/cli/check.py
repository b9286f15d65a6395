"""asfound check: compare a plan with what was found, or check the plan alone."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import for_stdout, no_search_for_rings, run_date, warn
from audit.cli.writing import keep_apart, outputs, write_to, write_whole
from audit.errors import EXIT_FINDINGS, EXIT_PASS
from audit.reporting.formats import FORMATS, by_name, render

if TYPE_CHECKING:
    pass

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
    options.add_mapping(parser)
    options.add_files(parser, "--rules", "site rules, levels and gates")
    parser.add_argument(
        "--gate",
        metavar="NAME",
        default="handover",
        help="handover (the default), annual, or one of the site rules",
    )
    parser.add_argument("--fail-on", choices=options.LEVELS, help="lowest level that fails the run")
    options.add_files(parser, "--waivers", "differences that somebody has accepted")
    parser.add_argument(
        "--sample",
        metavar="FILE",
        type=Path,
        help="only the nodes of this sample were to be read; says what it shows (see `asfound sample`)",
    )
    options.add_since(parser)
    options.add_out(parser, "the result to a file, in the format of its ending")
    options.add_format(parser, FORMATS)
    options.add_detail(parser)
    parser.add_argument(
        "--on",
        metavar="DATE",
        help="the run's date, for instance 2026-03-31; also SOURCE_DATE_EPOCH",
    )
    options.add_all(parser)
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Check, report, and return the exit code."""
    from audit import run as stages

    files = outputs(args.out, args.format, FORMATS)
    on_stdout = by_name(args.format or "text")
    wants = [form for _, form in files] + [on_stdout]
    detail = args.detail or any(form.detail for form in wants)
    order = stages.Order(args.plan, args.readback, args.mapping, args.rules, args.gate, args.fail_on,
                         run_date(args.on), args.waivers, args.since, detail, args.sample)  # fmt: skip
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
