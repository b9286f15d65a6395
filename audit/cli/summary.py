"""asfound summary: summarise the results of several sites and dates."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import json_files, print_made, write_files
from audit.cli.writing import outputs
from audit.errors import EXIT_FINDINGS, EXIT_PASS, of_each
from audit.reporting.formats import SUMMARY_FORMATS, render_other

if TYPE_CHECKING:
    from audit.read_results import ReadResult

HELP = "summarise the results of several sites and dates"
EXAMPLES = """examples:
  asfound summary results
  asfound summary examples/ostervik/earlier.json
  asfound summary 2025/north.json 2026/north.json --out summary.html

The results are those that `asfound check --out result.json` has written. What counts is a site's latest
result at each gate: a pass at one gate hides no failure at another. Of several results of one day the worst
counts, unless one was made with --since another and so is later. A site with several results gets a trend.

exit codes:
  0  the latest results of every site pass
  1  a latest result of a site fails
  2  no verdict: a file is missing, damaged or not a result
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument(
        "results", metavar="RESULT", type=options.file, nargs="+", help="results in JSON, or folders"
    )
    options.add_out(parser, "the summary to a file, in the format of its ending")
    options.add_format(parser, SUMMARY_FORMATS)
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Read, sum up, report, and return the exit code."""
    from audit.summing import sum_up

    files = outputs(args, SUMMARY_FORMATS)
    paths = json_files(args.results, "result", stderr)
    summary = sum_up(of_each(paths, _read))
    rendered = partial(render_other, summary)
    write_files(files, map(str, paths), rendered)
    print_made(args, summary, SUMMARY_FORMATS, stdout, rendered)
    return EXIT_PASS if summary.verdict == "pass" else EXIT_FINDINGS


def _read(path: Path) -> ReadResult:
    from audit.read_results import ReadResult
    from audit.reading.results import read_result

    result, file = read_result(path)
    return ReadResult(result, file.name, file.sha256)
