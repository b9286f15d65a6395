"""asfound history: how a site has changed from baseline to baseline."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TextIO

from audit.cli import options, terminal
from audit.cli.running import json_files, print_made, write_files
from audit.cli.writing import outputs
from audit.errors import EXIT_FINDINGS, EXIT_PASS
from audit.reporting.formats import HISTORY_FORMATS, render_other

HELP = "show how a site has changed from baseline to baseline"
EXAMPLES = """examples:
  asfound history examples/pellmoor/baselines
  asfound history 2023.json 2024.json 2025.json --out history.html --out history.csv

It shows when each setting changed, what flips back and forth, what has crept (a number that moved the same
way at least twice running, which is judgement), how long each finding stayed open, and which devices came
and went. What was changed and changed back between two baselines appears in neither.

exit codes:
  0  reported; whatever the report says, it is not a gate
  1  reported, but the chain of the baselines cannot be trusted
  2  no report: a file is missing, unreadable, altered, not a baseline, or from another site
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument(
        "baselines",
        metavar="BASELINE",
        type=options.file,
        nargs="+",
        help="baselines of one site, or folders",
    )
    options.add_out(parser, "the history to a file, in the format of its ending (.txt .csv .json .html)")
    options.add_format(parser, HISTORY_FORMATS)
    parser.add_argument("--all", action="store_true", help="print every change, not only the first 100")
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Read the baselines, write their history, and return the exit code."""
    from audit.history.telling import read_all, tell

    files = outputs(args, HISTORY_FORMATS)
    read = read_all(json_files(args.baselines, "baseline", stderr))
    history = tell(read)
    rendered = partial(render_other, history)
    write_files(files, (one.name for one in read), rendered)
    print_made(args, history, HISTORY_FORMATS, stdout, rendered, args.all)
    return EXIT_FINDINGS if history.doubts else EXIT_PASS
