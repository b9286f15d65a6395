"""asfound rules: list the rules, or explain one."""

from __future__ import annotations

import argparse
from typing import TextIO

from audit.cli import options, terminal
from audit.errors import EXIT_PASS, nearest, stop

HELP = "list the rules, or explain one"
EXAMPLES = """examples:
  asfound rules
  asfound rules channel-differs
  asfound rules --roles
  asfound rules --slips
  asfound rules --bands

exit codes:
  0  printed
  2  there is no such rule, or site rules are missing or invalid
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("id", metavar="ID", nargs="?", help="explain this rule")
    options.add_files(parser, "--rules", "site rules to list as well")
    lists = parser.add_mutually_exclusive_group()
    lists.add_argument("--roles", action="store_true", help="list the roles that settings can have")
    lists.add_argument(
        "--slips", action="store_true", help="list the slips that reports name, and the basis of their odds"
    )
    lists.add_argument(
        "--bands", action="store_true", help="list the radio bands that plans can name, with their limits"
    )


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Print the list or the explanation."""
    if args.id is not None and (args.roles or args.slips or args.bands):
        raise stop(f"a list is asked for, and rule {args.id!r} too", "ask for one of them")
    stdout.write(_text(args, terminal.columns(None, stdout)))
    return EXIT_PASS


def _text(args: argparse.Namespace, width: int) -> str:
    from audit.reading.rules import read_rulebook
    from audit.reporting import rules_report

    if args.roles:
        return rules_report.roles(width)
    if args.slips:
        return rules_report.slips(width)
    if args.bands:
        return rules_report.bands(width)
    book = read_rulebook(args.rules, None, work=None)
    if args.id is None:
        return rules_report.listing(book, width)
    rule = next((rule for rule in book.rules if rule.id == args.id), None)
    if rule is None:
        raise stop(f"there is no rule {args.id!r}", nearest(args.id, [rule.id for rule in book.rules]))
    return rules_report.explanation(rule, book, width)
