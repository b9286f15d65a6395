"""asfound schema: print the JSON Schema of a file, for editors and other programs."""

from __future__ import annotations

import argparse
from typing import TextIO

from audit.errors import EXIT_PASS, nearest, stop

HELP = "list the JSON Schemas of the files, or print one"
EXAMPLES = """examples:
  asfound schema
  asfound schema plan > plan.schema.json

A plan that begins with
  # yaml-language-server: $schema=plan.schema.json
gets completion and checking in editors that know YAML schemas.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="print this schema")


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Print the list, or one schema."""
    from audit.resources import schema_names, schema_text

    names = schema_names()
    if args.name is None:
        stdout.write("\n".join(names) + "\n")
    elif args.name not in names:
        raise stop(f"there is no schema {args.name!r}", nearest(args.name, names))
    else:
        stdout.write(schema_text(args.name))
    return EXIT_PASS
