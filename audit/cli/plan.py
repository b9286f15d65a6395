"""asfound plan: propose channels or addresses without conflicts, as changes to review."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import print_made, warn, write_files
from audit.cli.writing import outputs
from audit.errors import EXIT_FINDINGS, EXIT_PASS, Problem, stop
from audit.phrases import counted
from audit.reporting.formats import PLAN_FORMATS, Format, render_other

if TYPE_CHECKING:
    from audit.assigning.suggesting import Suggested

HELP = "propose channels or addresses without conflicts, as changes to the plan for review"
EXAMPLES = """examples:
  asfound plan examples/merrow-vale/plan.yaml --suggest addresses
  asfound plan plan.yaml --suggest channels --out channels.diff

Channels: no two networks within interference range share one (by the positions, path loss and channels in
the plan, and the limits of its band). Addresses: each node gets its own, inside its network's block. As few
as possible are changed, of networks those with the fewest nodes; if the search stops before it is proven
that no fewer would do, it says so. The plan is never written to.

exit codes:
  0  nothing to change
  1  changes are proposed, or there is no assignment without conflicts
  2  no verdict: plan missing, unreadable or invalid, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    options.add_plan(parser)
    parser.add_argument("--suggest", choices=("channels", "addresses"), required=True, help="what to propose")
    parser.add_argument(
        "--required-db",
        metavar="DB",
        type=options.number,
        default=10.0,
        help="how many dB a wanted signal has to be above another network's (default: 10, judgement)",
    )
    parser.add_argument(
        "--exponent",
        metavar="N",
        type=options.number,
        default=3.0,
        help="path loss exponent where the plan gives none (default: 3, judgement)",
    )
    options.add_out(parser, "the suggestion to a file, in the format of its ending (.txt .json .diff)")
    options.add_format(parser, PLAN_FORMATS)
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Read the plan, propose, write, and return the exit code."""
    from audit.assigning.patching import reaches_out
    from audit.assigning.suggesting import suggest

    if not 0 < args.required_db <= 100:
        raise stop(f"--required-db {args.required_db:g} is not possible", "give 1 to 100, for instance 10")
    if not 1 <= args.exponent <= 10:
        raise stop(f"--exponent {args.exponent:g} is not possible", "give 1 to 10, for instance 3")
    files = outputs(args, PLAN_FORMATS)
    made = suggest(args.plan, args.suggest, args.required_db, args.exponent)
    rendered = partial(_render, made)
    write_files(files, made.inputs, rendered)
    print_made(args, made.suggestion, PLAN_FORMATS, stdout, rendered)
    as_diff = "diff" in (args.format, *(form.name for _, form in files))
    if as_diff and made.diff and reaches_out(made.suggestion.changes):
        message = "the diff names files outside the working folder, which patch programs refuse"
        warn(Problem(message, "run this in the plan's folder, and apply it there"), stderr)
    if as_diff and made.suggestion.by_hand:
        lacking = "; ".join(made.suggestion.by_hand)
        message = f"the diff lacks {counted(len(made.suggestion.by_hand), 'change')} that a patch cannot make"
        warn(Problem(message, f"make by hand: {lacking}", made.suggestion.plan), stderr)
    proposed = made.suggestion.changes or made.suggestion.impossible
    return EXIT_FINDINGS if proposed else EXIT_PASS


def _render(made: Suggested, form: Format) -> str | bytes:
    return made.diff if form.name == "diff" else render_other(made.suggestion, form)
