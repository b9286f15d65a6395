"""asfound schema: print the JSON Schema of a file for editors and other programs, or its keys for people."""

from __future__ import annotations

import argparse
import json
from typing import TextIO

from audit.cli.writing import write_file
from audit.errors import EXIT_PASS, nearest, stop

HELP = "list the JSON Schemas of the files, print one, or list the keys of a file"
EXAMPLES = """examples:
  asfound schema
  asfound schema plan --keys
  asfound schema plan > plan.schema.json

Editors that know YAML schemas complete and check a plan that begins with
  # yaml-language-server: $schema=plan.schema.json

exit codes:
  0  printed
  2  there is no such schema
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="print this schema")
    parser.add_argument("--keys", action="store_true", help="list the keys of the file, with what they mean")


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Print the list, one schema, or its keys."""
    from audit.resources import schema_names, schema_text

    names = schema_names()
    if args.name is None and args.keys:
        raise stop("--keys needs the name of a schema", "for instance `asfound schema plan --keys`")
    if args.name is None:
        about = {name: json.loads(schema_text(name))["description"].split("\n")[0] for name in names}
        stdout.writelines(f"{name:16}  {words}\n" for name, words in about.items())
    elif args.name not in names:
        raise stop(f"there is no schema {args.name!r}", nearest(args.name, names))
    elif args.keys:
        from audit.reporting.keys_text import keys_text

        stdout.writelines(f"{line}\n" for line in keys_text(json.loads(schema_text(args.name))))
    else:
        write_file(stdout, schema_text(args.name))
    return EXIT_PASS
