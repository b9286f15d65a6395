"""asfound figures: the engineering figures of a site, each with its sum."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TextIO

from audit.cli import options, terminal
from audit.cli.running import files_read, print_made, run_date, warn, without_garbage_collection, write_files
from audit.cli.writing import outputs
from audit.errors import EXIT_PASS
from audit.reporting.formats import FIGURE_FORMATS, render_other

HELP = "work out signals, margins, time on air, battery life and room for more nodes"
EXAMPLES = """examples:
  asfound figures examples/sallow-creek/plan.yaml
  asfound figures examples/sallow-creek/plan.yaml --only AT-516
  asfound figures plan.yaml readback --out figures.csv

Figures are worked out where plan and device types give the numbers (`radio`, `position`, `alarms`,
`message`, `battery` and others: see asfound schema plan --keys and asfound schema device-type --keys). With
a readback they are those of what was read, with what else they need from the plan. --only TAG shows the sum
of each figure; CSV and JSON always have it. Whether a figure is good enough is for check to say.

exit codes:
  0  listed, whatever the figures are
  2  no list: input missing, unreadable or invalid, no such device, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    options.add_plan(parser)
    options.add_readback(parser, "what was read: files, or folders of them")
    options.add_mapping(parser)
    options.add_files(parser, "--rules", "site rules, whose limits count too")
    parser.add_argument(
        "--only",
        metavar="NAME",
        action="append",
        default=[],
        help="only this network, or this device (tag) with the sums of its figures; may be repeated",
    )
    options.add_out(parser, "the figures to a file, in the format of its ending (.txt .csv .json)")
    options.add_format(parser, FIGURE_FORMATS)
    options.add_on(parser)
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Work out the figures, write them, and return the exit code."""
    from audit.figures.listing import figure_list
    from audit.run import Order, paired

    files = outputs(args, FIGURE_FORMATS)
    order = Order(
        plan=args.plan,
        readback=args.readback,
        mapping=args.mapping,
        rules=args.rules,
        run_on=run_date(args.on),
    )
    progress = terminal.progress_on(stderr)
    with without_garbage_collection():
        read = paired(order, progress, lambda problem: warn(problem, stderr))
    made = figure_list(read, args.only)
    progress("")
    rendered = partial(render_other, made)
    write_files(files, files_read(made.inputs), rendered)
    sums = any(line.node in args.only for line in made.lines)
    print_made(args, made, FIGURE_FORMATS, stdout, rendered, sums)
    return EXIT_PASS
