"""asfound seal: sign for a readback as a baseline, or verify baselines."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import readback_arguments, warn, without_garbage_collection
from audit.cli.writing import check_target, write_new, write_text
from audit.errors import EXIT_FINDINGS, EXIT_PASS, Problem, of_each, stop, stop_if

if TYPE_CHECKING:
    from audit.reading.files import FileBytes

HELP = "sign for a readback as a baseline, or verify baselines"
EXAMPLES = """examples:
  asfound seal examples/tarnbeck/plan.yaml examples/tarnbeck/as-left --signed-by "R. Sample" --out b.json
  asfound seal plan.yaml readback --signed-by "R. Sample" --previous 2025.json --key key.pem --out 2026.json
  asfound seal --verify 2024.json 2025.json 2026.json
  asfound seal --verify 2026.json --trusted-key public.pem

A baseline records what was read, the verdict, and who signed for it. It holds no access codes.
Keys are Ed25519 in PEM form:
  openssl genpkey -algorithm ed25519 -aes256 -out key.pem
  openssl pkey -in key.pem -pubout -out public.pem
The password of an encrypted key comes from ASFOUND_KEY_PASSWORD, or is asked for at a terminal.

exit codes:
  0  sealed; with --verify: every file is as it was sealed
  1  not sealed, since the verdict is FAIL; with --verify: a file cannot be trusted
  2  no verdict: input missing, unreadable or invalid, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("plan", metavar="PLAN", type=options.file, nargs="?", help="the plan (YAML or JSON)")
    options.add_readback(parser, "what was read: files or folders; with --verify: baselines")
    parser.add_argument(
        "--signed-by", metavar="NAME", type=options.words, help="who answers for the baseline"
    )
    parser.add_argument(
        "--out", metavar="FILE", type=options.file, help="the baseline to write; never overwrites a file"
    )
    parser.add_argument("--previous", metavar="FILE", type=options.file, help="the baseline before this one")
    parser.add_argument(
        "--key", metavar="FILE", type=options.file, help="sign with this private key (Ed25519, PEM)"
    )
    parser.add_argument(
        "--even-failing", action="store_true", help="seal even if the verdict is FAIL, with the findings"
    )
    parser.add_argument(
        "--gate",
        metavar="NAME",
        default="handover",
        help="handover (the default), annual, or one from the site rules",
    )
    options.add_files(parser, "--waivers", "accepted differences")
    options.add_files(parser, "--rules", "site rules, levels and gates")
    options.add_sample(parser)
    options.add_mapping(parser)
    options.add_on(parser, "the date of sealing")
    parser.add_argument(
        "--verify",
        action="store_true",
        help="verify baselines; several are checked as a chain from its first one on, in any order",
    )
    options.add_files(
        parser, "--trusted-key", "with --verify: a public key (PEM) whose signatures are trusted"
    )
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Seal or verify, and return the exit code."""
    return _verify(args, stdout) if args.verify else _seal(args, stdout, stderr)


def _seal(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    _check_usage(args)
    from audit import run as stages
    from audit.reading.baselines import read_baseline
    from audit.reading.files import read_bytes
    from audit.reporting import seal_text
    from audit.sealing.contents import content_of, sealed
    from audit.sealing.readings import no_newer

    check_target(args.out)
    key = None
    if args.key:
        from audit.sealing.signing import private_key

        key = private_key(read_bytes(args.key), _password)
    previous = read_baseline(args.previous) if args.previous else None
    order = stages.Order(plan=args.plan, gate=args.gate, **readback_arguments(args))
    progress = terminal.progress_on(stderr)
    look = terminal.look(args, stdout)
    with without_garbage_collection():
        done = stages.run_whole(order, progress, lambda problem: warn(problem, stderr))
        if done.result.verdict == "fail" and not args.even_failing:
            progress("")
            if not args.quiet:
                write_text(stdout, seal_text.refused(done.result, *look))
            return EXIT_FINDINGS
        progress("sealing")
        content = content_of(done, args.signed_by.strip(), previous)
        text, baseline = sealed(content, key)
    progress("")
    if previous and (old := no_newer(content, previous)):
        warn(old, stderr)
    write_new(args.out, text)
    if not args.quiet:
        write_text(stdout, seal_text.sealed(baseline, done.result, args.out.as_posix(), *look))
    return EXIT_PASS


def _check_usage(args: argparse.Namespace) -> None:
    """Raise InputProblems with everything that is missing or out of place."""
    problems = []
    if args.plan is None or not args.readback:
        problems.append(Problem("a plan and a readback are needed", "write asfound seal PLAN READBACK..."))
    if not (args.signed_by or "").strip():
        problems.append(Problem("nobody signs for the baseline", 'give --signed-by "R. Sample"'))
    if args.out is None:
        problems.append(Problem("no file to write is named", "give --out 2026.json"))
    elif args.out.exists():
        problems.append(
            Problem("exists already, and a baseline is never overwritten", "give another name",
                    args.out.as_posix())
        )  # fmt: skip
    if args.trusted_key:
        problems.append(Problem("--trusted-key goes with --verify", "sign with --key"))
    stop_if(problems)


def _password() -> str | None:
    given = os.environ.get("ASFOUND_KEY_PASSWORD")
    if given is None and sys.stdin is not None and sys.stdin.isatty():
        with suppress(EOFError):  # Ctrl-D: no password
            given = getpass.getpass("password of the key: ")
    return given


def _verify(args: argparse.Namespace, stdout: TextIO) -> int:
    from audit.reading.files import read_bytes
    from audit.reporting import seal_text
    from audit.sealing.signing import public_key
    from audit.sealing.verifying import verify

    paths = [path for path in (args.plan, *args.readback) if path is not None]
    if not paths:
        raise stop("there is nothing to verify", "write asfound seal --verify FILE...")
    files = of_each(paths, _baseline)
    trusted = [public_key(file) for file in of_each(args.trusted_key, read_bytes)]
    verified = verify(files, trusted)
    if not args.quiet:
        look = terminal.look(args, stdout)
        write_text(stdout, seal_text.verified(verified, *look, keys_given=bool(trusted)))
    return EXIT_FINDINGS if any(one.distrust for one in verified) else EXIT_PASS


def _baseline(path: Path) -> FileBytes:
    """Return the bytes of a baseline, altered or not. Raises InputProblems if it cannot be verified."""
    from audit.reading.baselines import refuse_newer
    from audit.reading.files import read_bytes
    from audit.sealing.verifying import MARKS

    file = read_bytes(path)
    if not any(mark in file.data[:64] for mark in MARKS):
        raise stop("is not a baseline", "give a file that `asfound seal` has written", file=file.name)
    refuse_newer(file)
    return file
