"""asfound why: why a node does not join, and what to check next."""

from __future__ import annotations

import argparse
import datetime
import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import print_made, run_date, warn, write_files
from audit.cli.writing import check_target, keep_apart, outputs
from audit.errors import EXIT_FINDINGS, EXIT_PASS, nearest, stop
from audit.reporting.formats import DIAGNOSIS_FORMATS, render_other

if TYPE_CHECKING:
    from audit.diagnosis.asked import Asked
    from audit.diagnosis.causes import Causes
    from audit.diagnosis.examined import Examined, Files
    from audit.diagnosis.log import Log
    from audit.diagnosis.site import Basis
    from audit.model.diagnosis import Diagnosis
    from audit.reading.inputs import Inputs

HELP = "find out why a node does not join its gateway, and what to check next"
EXAMPLES = """TAG is a tag or serial number in the plan; READBACK is as for check. With --all, give no TAG.

examples:
  asfound why TS-58 examples/ostervik/plan.yaml examples/ostervik/as-found
  asfound why PT-38 plan.yaml readback --gateway-list list.csv --saw lcd-blank
  asfound why --all plan.yaml readback --gateway-list lists --changes changes.yaml
  asfound why PT-38 plan.yaml readback --interactive
  asfound why PT-38 plan.yaml readback --record battery --log calls.jsonl
  asfound why --evidence

It weighs the causes by what the files show: settings of node and gateway, slips, the gateway's other nodes,
other gateways' lists, addresses, signal and battery volts over dated readings, the link, recent work, change
records. The weights are judgement (rules/joining-causes.yaml; --causes FILE takes your own); recorded calls
change them.

A gateway list has columns such as serial, tag, gateway, last_heard, rssi, battery_volts, read_at; a mapping
names any others. Older lists show which nodes had joined before; of two lists of one day, read_at says which
is newer. A sheet that people filled in at the nodes shows, beside the lists, only the nodes that were read. A
list without rows means that the site's only gateway hears no node. `check` takes a list as a readback if a
device type has a setting with the role joined_gateway.

exit codes:
  0  answered; with --all: no node is missing
  1  with --all: nodes are missing, or may be, because a list is absent, not understood or older than others
  2  no answer: a file is missing or damaged, no such node, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.usage = (
        "asfound why TAG PLAN [READBACK ...] [options]\n       asfound why --all PLAN READBACK ... [options]"
    )
    add = parser.add_argument
    add("words", metavar="TAG PLAN READBACK", nargs="*", help="the node, the plan, and what was read")
    options.add_files(
        parser, "--gateway-list", "what a gateway lists as joined; old and new lists in any order"
    )
    add(
        "--saw",
        metavar="EVIDENCE",
        action="append",
        default=[],
        help="what was seen or heard of this node; may be repeated, or several separated by commas",
    )
    add("--evidence", action="store_true", help="list the words that --saw takes")
    before = parser.add_mutually_exclusive_group()
    before.add_argument(
        "--was-joined",
        dest="joined",
        action="store_const",
        const="was",
        help="it had joined before; if neither is given, the files decide, or both cases are weighed",
    )
    before.add_argument(
        "--never-joined", dest="joined", action="store_const", const="never", help="it has never joined"
    )
    add("--travel", metavar="MINUTES", type=_minutes, help="travel time to the node and back")
    options.add_start(parser)
    add("--all", action="store_true", help="diagnose every missing node, silent gateways first")
    add("--interactive", action="store_true", help="answer check by check, on the terminal or from a pipe")
    add("--record", metavar="CAUSE", help="add what turned out to be the cause to the log")
    add("--log", metavar="FILE", type=options.file, help="the log of calls, which changes the weights")
    add("--causes", metavar="FILE", type=options.file, help="causes and weights of your own")
    options.add_files(parser, "--changes", "change records: what was done to the node or its gateway")
    options.add_mapping(parser)
    options.add_out(parser, "the diagnosis to a file, in the format of its ending (.txt .json)")
    options.add_format(parser, DIAGNOSIS_FORMATS)
    options.add_on(parser)
    terminal.add_arguments(parser)


def _minutes(text: str) -> float:
    """Return minutes, for argparse."""
    minutes = options.number(text)
    if not 0 <= minutes <= 10080:
        raise argparse.ArgumentTypeError(f"{text} is not between 0 and 10080 minutes")
    return minutes


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Diagnose, print, and return the exit code."""
    from audit.diagnosis.causes import read_causes
    from audit.diagnosis.examined import examine
    from audit.diagnosis.site import Basis
    from audit.reading.inputs import Inputs

    inputs = Inputs()
    if args.evidence:
        from audit.reporting.evidence_list import render

        stdout.write(render(read_causes(args.causes, inputs).file, terminal.columns(args.width, stdout)))
        return EXIT_PASS
    name, files = _files(args)
    _refuse_mixes(args)
    files_out = outputs(args, DIAGNOSIS_FORMATS)
    causes = read_causes(args.causes, inputs)
    asked = _asked(args, causes)
    log = _log(args, causes, inputs)
    examined = examine(files, causes.file, inputs)
    read = [file.file for file in inputs.files.values() if file.kind not in ("not read", "log of calls")]
    logs = [args.log] if args.log else []
    keep_apart(logs, read)
    keep_apart([path for path, _ in files_out], [*read, *map(str, logs)])
    for warning in inputs.warnings:
        warn(warning, stderr)
    basis = Basis(causes, log, run_date(args.on), list(inputs.files.values()))
    diagnosis = _diagnosis(args, name, examined, asked, basis, stdout)
    if diagnosis is None:
        return EXIT_PASS
    rendered = partial(render_other, diagnosis)
    write_files(files_out, (), rendered)
    print_made(args, diagnosis, DIAGNOSIS_FORMATS, stdout, rendered)
    may_hide_a_node = set(diagnosis.not_known) - set(examined.lists.assumed)
    doubtful = args.all and may_hide_a_node
    return EXIT_FINDINGS if diagnosis.gateways or doubtful else EXIT_PASS


def _diagnosis(
    args: argparse.Namespace, name: str, examined: Examined, asked: Asked, basis: Basis, stdout: TextIO
) -> Diagnosis | None:
    """Return the diagnosis asked for; None where this has recorded a call or held the dialogue instead."""
    from audit.diagnosis.site import case_of, of_all, of_node

    if args.all:
        return of_all(examined, asked, basis)
    case = case_of(examined, name)
    if args.record is not None:
        from audit.diagnosis.recording import record

        for line in record(args.log, args.record, _now(args.on), case, asked, basis.log):
            _say(stdout, "" if args.quiet else line, args.width)
        return None
    if args.interactive:
        from audit.diagnosis.session import talk

        talk(case, asked, basis.log, _answers(), lambda text: _say(stdout, text, args.width))
        return None
    return of_node(case, asked, basis)


def _files(args: argparse.Namespace) -> tuple[str, Files]:
    """Return the name of the node, and the files. Raises InputProblems where they are not all there."""
    from audit.diagnosis.examined import Files

    words = list(args.words)
    usage = "write asfound why TAG PLAN READBACK, or asfound why --all PLAN READBACK"
    like_plans = [Path(word).suffix.lower() in (".yaml", ".yml", ".json") for word in words[:2]]
    if not args.all and like_plans[:1] == [True]:
        raise stop(f"{words[0]} is a file; the node comes first", usage)
    if args.all and like_plans == [False, True] and not Path(words[0]).exists():
        message = f"--all is about every missing node, and {words[0]} is no plan"
        raise stop(message, "leave out the TAG, or --all")
    name = "" if args.all else (words.pop(0) if words else "")
    if not words:
        missing = "PLAN is" if name or args.all else "TAG and PLAN are"
        raise stop(f"{missing} not given", usage)
    return name, Files(Path(words[0]), [Path(word) for word in words[1:]], args.gateway_list, args.mapping,
                       args.changes, run_date(args.on))  # fmt: skip


def _refuse_mixes(args: argparse.Namespace) -> None:
    """Raise InputProblems for options that do not go together."""
    alone = [option for option, given in (("--saw", args.saw), ("--interactive", args.interactive),
                                          ("--record", args.record), ("--was-joined", args.joined))
             if given]  # fmt: skip
    if args.all and alone:
        raise stop(
            f"--all is about every missing node, and {alone[0]} about one", "name the TAG instead of --all"
        )
    if args.record is not None and not args.log:
        raise stop("--record needs a log to add to", "name it with --log FILE")
    if args.record is not None and (args.out or args.format == "json"):
        raise stop("--record only adds to the log", "use --out and --format json in another run")
    if args.interactive and (args.record is not None or args.out or args.format == "json" or args.quiet):
        raise stop(
            "--interactive is a dialogue", "use --record, --out, --format json and --quiet in another run"
        )


def _asked(args: argparse.Namespace, causes: Causes) -> Asked:
    from audit.diagnosis.asked import Asked, check_saw

    saw = [name.strip() for part in args.saw for name in part.split(",") if name.strip()]
    check_saw(saw, causes.file)
    return Asked(tuple(dict.fromkeys(saw)), args.joined, args.travel, args.start)


def _log(args: argparse.Namespace, causes: Causes, inputs: Inputs) -> Log | None:
    from audit.diagnosis.log import read_log

    ids = [cause.id for cause in causes.file.causes]
    if args.record is not None and args.record not in ids:
        raise stop(f"--record: unknown cause {args.record!r}", nearest(args.record, ids))
    if args.log is None:
        return None
    if args.record is not None:
        check_target(args.log)
    elif not args.log.exists():
        raise stop("the log does not exist", "--record CAUSE creates it", file=args.log.as_posix())
    return read_log(args.log, ids, inputs)


def _now(on: str | None) -> str:
    """Return the time of a record: the run's date where that is fixed, else the time now."""
    if on is not None or os.environ.get("SOURCE_DATE_EPOCH"):
        return run_date(on)
    return datetime.datetime.now().astimezone().isoformat(timespec="seconds")


def _answers() -> Iterator[str]:
    """Return the lines that are typed or come from a pipe, until they end."""
    return (line.rstrip("\n") for line in iter(terminal.answers().readline, ""))


def _say(stdout: TextIO, text: str, width: int | None) -> None:
    from audit.reporting.lines import Lines

    lines = Lines(terminal.columns(width, stdout), colour=False)
    lines.add(text.strip(), indent=len(text) - len(text.lstrip()), hang=2)
    stdout.write(lines.text())
    stdout.flush()
