"""asfound enter: type in what devices show, setting by setting; every value is saved at once."""

from __future__ import annotations

import argparse
import datetime
import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import source_date
from audit.cli.writing import check_target
from audit.errors import EXIT_INTERRUPTED, EXIT_PASS, InputProblems, Problem, stop
from audit.phrases import IF_RENAMED, counted

if TYPE_CHECKING:
    from audit.entering.consoles import PlainConsole, TerminalConsole
    from audit.entering.devices import ToRead
    from audit.entering.progress import Progress
    from audit.entering.saving import Clock
    from audit.reading.entries import Entries

HELP = "type in what devices show, setting by setting; every value is saved at once"
EXAMPLES = """examples:
  asfound enter examples/merrow-vale/plan.yaml lower.jsonl
  asfound enter plan.yaml lower.jsonl --by "R. Sample" --decimal ,
  asfound check plan.yaml lower.jsonl

It asks for network and node (TAB completes), then for each setting in the order of the display, and says
where to look. The plan is not shown: a readback copied from it would prove nothing. A value that differs
is asked for again, and both readings are kept. /help lists the commands: /skip, /back, /note and others.

Each value adds a line to READBACK and is on the disk at once; start again with the same file to go on.
Several people may write into one file. Access codes are never asked for.

Answers may come from a pipe, one a line: then nothing is asked for twice, and an answer that is not
accepted stops the run.

exit codes:
  0  finished, or stopped by /quit or at the end of the answers
  2  a file cannot be used or holds another site or revision, or an answer from a pipe was not accepted
  130  interrupted; everything typed before is saved
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    options.add_plan(parser)
    parser.add_argument("entries", metavar="READBACK", type=options.file, help="the file of entries (.jsonl)")
    parser.add_argument(
        "--by", metavar="NAME", type=options.words, help="who reads the devices; if left out, asked for once"
    )
    parser.add_argument(
        "--decimal",
        metavar="MARK",
        choices=(".", ","),
        default=".",
        help="the decimal mark that is typed: a point (the default) or a comma",
    )
    parser.add_argument(
        "--other-revision",
        action="store_true",
        help="go on with a file that was begun under another revision of the plan",
    )
    parser.add_argument(
        "--at", metavar="TIME", help="the time of the readings, in ISO form (default: the clock's)"
    )


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Talk with the person until they stop, and return the exit code."""
    from audit.entering.consoles import ended_by_signals
    from audit.entering.devices import to_read
    from audit.entering.progress import Progress
    from audit.entering.saving import EntryFile, Signature
    from audit.entering.state import Work
    from audit.entering.talking import talk
    from audit.reading.inputs import Inputs
    from audit.reading.plan import read_plan
    from audit.run import readback_words

    clock = _clock(args.at)
    _check_file(args.entries, args.plan)
    plan = read_plan(args.plan, Inputs())
    wanted = to_read(plan)
    file = EntryFile(args.entries, readback_words(plan), clock)
    entries = file.read()
    check_same_plan(entries, wanted, other_revision=args.other_revision)
    progress = Progress().with_lines(entries.lines, wanted)
    console = _console(stdout)
    console.say(_greeting(args.entries, wanted, entries, progress, clock))
    began = file.lines_taken_in
    try:
        with ended_by_signals(console.end):
            try:
                by = (args.by or "").strip() or _reader(console)
                signature = Signature(wanted.site, wanted.revision, by)
                talk(Work(wanted, args.decimal, console.patient), progress, file, signature, console)
            except EOFError:
                pass
    except KeyboardInterrupt:
        with suppress(OSError):  # the terminal may have gone
            stderr.write(f"\ninterrupted; {_saved(args.entries)}\n")
        return EXIT_INTERRUPTED
    console.say(_goodbye(args, file.lines_taken_in > began))
    return EXIT_PASS


def _clock(at: str | None) -> Clock:
    """Return the clock: the time given, else SOURCE_DATE_EPOCH, else the clock's with its local offset."""
    try:
        fixed = source_date() if at is None else datetime.datetime.fromisoformat(at)
        fixed = fixed.astimezone() if fixed and not fixed.tzinfo else fixed
    except (ValueError, OverflowError, OSError):
        raise stop(f"--at {at!r} is not a time", "write it as 2026-03-31T09:15") from None
    return lambda: fixed or datetime.datetime.now().astimezone()


def _check_file(path: Path, plan: Path) -> None:
    """Raise InputProblems where the file cannot take readings, before anybody types one."""
    name = path.as_posix()
    check_target(path)
    if path.suffix.lower() != ".jsonl":
        mend = f"name it {path.with_suffix('.jsonl').name}"
        if plan.suffix.lower() == ".jsonl":
            from audit.phrases import as_argument, typed

            files = as_argument(name), as_argument(plan.as_posix())
            mend = f"the plan comes first: {typed('asfound', 'enter', *files)}"
        raise stop("a file of entries ends in .jsonl, so that `asfound check` recognises it", mend, file=name)
    if path.exists() and not os.access(path, os.W_OK):
        raise stop("cannot be written to", "ask for permission, or name another file", file=name)


def check_same_plan(entries: Entries, wanted: ToRead, *, other_revision: bool) -> None:
    """Raise InputProblems where the file was begun for another site, or another revision of the plan."""
    problems: dict[tuple[str, str], Problem] = {}
    known = {"", *map(str.casefold, (wanted.site, *wanted.formerly))}
    for line in entries.lines:
        site, revision = line.entry.site.strip(), line.entry.plan_revision.strip()
        if site.casefold() not in known:
            message = f"holds readings from the site {site!r}; the plan is for {wanted.site!r}"
            mend = f"give a new file for this plan{IF_RENAMED}"
        elif revision and revision.casefold() != wanted.revision.casefold() and not other_revision:
            message = f"was begun under plan revision {revision!r}; the plan is at {wanted.revision!r}"
            mend = "give a new file; or go on with --other-revision, which `asfound check` will report"
        else:
            continue
        problem = Problem(message, mend, entries.file, line=line.number)
        problems.setdefault((site, revision), problem)
    if problems:
        raise InputProblems(problems.values())


def _console(stdout: TextIO) -> PlainConsole | TerminalConsole:
    from audit.entering.consoles import PlainConsole, TerminalConsole

    stdin = terminal.answers()
    at_terminal = stdin.isatty() and stdout.isatty()
    return TerminalConsole(stdout) if at_terminal else PlainConsole(stdin, stdout)


def _greeting(
    path: Path, wanted: ToRead, entries: Entries, progress: Progress, clock: Clock
) -> tuple[str, ...]:
    """Return what is said at the start: which site, which file, and what the file holds already."""
    from audit.entering.asking import summary

    revision = f", plan revision {wanted.revision}" if wanted.revision else ""
    lines = [
        f"{wanted.site}{revision}",
        f"Readings go into {path.as_posix()}, each as soon as it is typed.",
        "Type what the device shows. /help lists the commands, /quit stops.",
        "Only read. Changing a setting is another job, with its own permit.",
    ]
    if entries.lines:
        count = counted(len(entries.lines), "line")
        lines.append(f"The file holds {count}: {summary(wanted.devices, progress)}.")
    lines += [f"Line {problem.line} of the file: {problem.message}" for problem in entries.warnings]
    lines += [
        f"Not in this plan: {tag}, in line {line} of the file" for tag, line in progress.strangers.items()
    ]
    lines += _clock_doubt(entries, clock)
    return tuple(lines)


def _clock_doubt(entries: Entries, clock: Clock) -> list[str]:
    """Return a line if the file holds readings from later than now: one of two clocks is wrong."""
    from audit.entering.saving import aware

    times = [time for line in entries.lines if (time := aware(line.entry.read_at))]
    now = clock()
    if not times or max(times) - now <= datetime.timedelta(minutes=5):
        return []
    latest = max(times).astimezone(now.tzinfo)  # both by one clock
    doubt = f"The clock says {now:%Y-%m-%d %H:%M}, and the file holds a reading of {latest:%Y-%m-%d %H:%M}."
    return [f"{doubt} If the clock is wrong, stop and set it: the newest reading is the one that counts."]


def _reader(console: PlainConsole | TerminalConsole) -> str:
    """Return who reads, asked for once. Raises EOFError at the end of the answers."""
    console.say(("Who is reading? The name goes into the file with each value.",))
    while True:
        name = console.read("name> ").strip()
        if name:
            return name
        if not console.patient:
            raise stop("the name is blank", "give it in the first line, or with --by", file="standard input",
                       line=1)  # fmt: skip


def _saved(path: Path) -> str:
    return (
        f"everything typed before is saved in {path.as_posix()}" if path.exists() else "nothing was entered"
    )


def _goodbye(args: argparse.Namespace, written: bool) -> tuple[str, ...]:
    if not written:
        return ("Nothing was entered.",)
    from audit.phrases import as_argument, typed

    next_ = typed("asfound", "check", as_argument(str(args.plan)), as_argument(str(args.entries)))
    return (f"Saved in {args.entries}. Start again with it to go on.", f"next: {next_}")
