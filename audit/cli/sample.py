"""asfound sample: which nodes to visit, so that a few say enough about the rest."""

from __future__ import annotations

import argparse
import secrets
from functools import partial
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import files_read, print_made, warn, without_garbage_collection, write_files
from audit.cli.writing import outputs
from audit.errors import EXIT_PASS, Problem, stop_if
from audit.reporting.formats import SAMPLE_FORMATS, Format, render_other

if TYPE_CHECKING:
    from audit.model.route_sheet import RouteSheet
    from audit.model.sample import Terms
    from audit.model.sampling_tables import Inspection

HELP = "choose the nodes to visit where not all can be visited, and make a route sheet"
EXAMPLES = """examples:
  asfound sample examples/ostervik/plan.yaml --lot site --confidence 95 --defective 5 --seed 2026-05-20
  asfound sample plan.yaml --lot network --aql 2.5 --out sample.json --out route.html
  asfound sample plan.yaml --lot site --aql 1.0 --earlier accept,reject,accept,reject --out sample.json
  asfound sample plan.yaml --confidence 95 --defective 5 --baseline 2025.json --changes changes.yaml

and after the visit:
  asfound check plan.yaml readback --sample sample.json
  asfound drift 2025.json readback --plan plan.yaml --sample sample.json

Always visited: nodes that have `duties` in the plan (safety, permit-limit, billing, or words of your own),
with --baseline or --changes those that have changed, and those that had errors in the baseline. The others
are drawn by the seed: the same plan, terms and seed give the same nodes anywhere. Whoever picks the seed
could try seeds until the nodes suit them; let somebody else pick it, or take the date. A sample says
something only about the nodes that it was drawn from, and only if exactly the nodes drawn are read.

Check the readback as found, not as left. Faults in the plan, and nodes that only their gateway has left
behind, do not count against the lot, but still fail the gate. A waived node does not count against it
either, but is included in how many faulty ones there can still be. `worklist --sample` makes no steps to
read nodes outside the sample (only to set those that have to follow their gateway), `drift --sample` does
not call them gone, and `seal --sample` records how many the baseline lacks, so that the next drift asks for
them.

The tables are those of MIL-STD-105E, single sampling. Its Table VIII (limit numbers for reduced inspection)
is not among them, so --earlier never switches to reduced inspection.

exit codes:
  0  a sample was drawn
  2  no sample: input missing, unreadable or invalid, terms that no sample can meet, wrong usage
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    options.add_plan(parser)
    parser.add_argument(
        "--lot",
        choices=("site", "network"),
        default="site",
        help="what is accepted or rejected as a whole: the site (the default), or each network by itself",
    )
    _add_terms(parser)
    parser.add_argument(
        "--seed", metavar="TEXT", type=options.words, help="the seed to draw by (default: a random one)"
    )
    parser.add_argument(
        "--spread",
        choices=("networks", "none"),
        default="networks",
        help="share the sample out over the networks (the default), or draw regardless of them",
    )
    parser.add_argument(
        "--baseline",
        metavar="FILE",
        type=options.file,
        help="visit what has changed since this baseline, or was wrong in it",
    )
    options.add_files(parser, "--changes", "visit what change records name; with --baseline, from its day on")
    options.add_out(
        parser, "the sample or its route sheet, in the format of its ending (.json .html .csv .txt)"
    )
    options.add_format(parser, SAMPLE_FORMATS)
    terminal.add_arguments(parser)


def _add_terms(parser: argparse.ArgumentParser) -> None:
    by_chance = parser.add_argument_group("how much the sample has to show, by confidence")
    by_chance.add_argument("--confidence", metavar="PERCENT", help="for instance 95")
    by_chance.add_argument(
        "--defective",
        metavar="PERCENT",
        help="a sample that passes shows that less than this percentage of nodes is nonconforming, "
        "for instance 5",
    )
    by_chance.add_argument(
        "--accept",
        metavar="N",
        type=options.whole,
        help="largest number of nonconforming nodes with which the sample still passes (default: 0)",
    )
    by_chance.add_argument(
        "--wherever",
        action="store_true",
        help="draw enough even if all nonconforming nodes are in one network",
    )
    by_tables = parser.add_argument_group("or by the tables of MIL-STD-105E")
    by_tables.add_argument("--aql", metavar="PERCENT", help="acceptable quality level, for instance 2.5")
    by_tables.add_argument(
        "--level",
        choices=("S-1", "S-2", "S-3", "S-4", "I", "II", "III"),
        help="inspection level (default: II)",
    )
    by_tables.add_argument(
        "--inspection",
        choices=("normal", "tightened", "reduced"),
        help="kind of inspection (default: normal)",
    )
    by_tables.add_argument(
        "--earlier",
        metavar="LIST",
        help="results of earlier lots, oldest first, such as accept,accept,reject; they set the inspection",
    )


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Draw the sample, write it, and return the exit code."""
    _check_usage(args)
    from audit.sampling.making import SampleOrder, make

    files = outputs(args, SAMPLE_FORMATS)
    notes: list[str] = []
    terms = _terms(args, notes)
    seed = args.seed
    if seed is None:
        seed = secrets.token_hex(8)
        notes.append(f"the seed was chosen at random; --seed {seed} draws the same nodes again")
    order = SampleOrder(
        plan=args.plan,
        terms=terms,
        lot=args.lot,
        spread=args.spread,
        seed=seed,
        baseline=args.baseline,
        changes=args.changes,
        notes=notes,
    )
    with without_garbage_collection():
        sheet = make(order, lambda problem: warn(problem, stderr))
    recorded = next((path for path in args.out if path.lower().endswith(".json")), "")
    then = (args.plan.as_posix(), recorded)
    rendered = partial(_rendered, sheet, *then)
    write_files(files, files_read(sheet.inputs), rendered)
    print_made(args, sheet, SAMPLE_FORMATS, stdout, rendered, *then)
    return EXIT_PASS


def _rendered(sheet: RouteSheet, plan: str, recorded: str, form: Format) -> str | bytes:
    """Return the sheet in a format; a text also names the command for after the visit, as on stdout."""
    if form.name == "text":
        from audit.reporting import sample_text

        return sample_text.render(sheet, plan=plan, sample=recorded)
    return render_other(sheet, form)


def _check_usage(args: argparse.Namespace) -> None:
    """Raise InputProblems with everything that is missing or does not go together."""
    by_chance = {"--confidence": args.confidence, "--defective": args.defective, "--accept": args.accept,
                 "--wherever": args.wherever or None}  # fmt: skip
    by_tables = {"--level": args.level, "--inspection": args.inspection, "--earlier": args.earlier}
    problems = []
    if args.aql is None:
        problems += [
            Problem(f"{name} needs --aql", "give the AQL, for instance --aql 2.5")
            for name, value in by_tables.items() if value is not None
        ]  # fmt: skip
        if args.confidence is None or args.defective is None:
            message = "nothing says how much the sample has to show"
            if args.confidence is not None or args.defective is not None:
                message = "--confidence and --defective go together"
            problems.append(Problem(message, "give --confidence 95 --defective 5, or --aql 2.5"))
    else:
        problems += [
            Problem(f"{name} does not go with --aql", "give one or the other")
            for name, value in by_chance.items() if value is not None
        ]  # fmt: skip
        if args.earlier is not None and args.inspection is not None:
            problems.append(Problem("--earlier sets the inspection itself", "leave --inspection out"))
    if args.seed is not None and len(args.seed) > 300:
        problems.append(Problem("--seed is longer than 300 characters", "give a shorter one"))
    stop_if(problems)


def _terms(args: argparse.Namespace, notes: list[str]) -> Terms:
    from audit.sampling.terms import after_lots, confidence_terms, table_terms

    if args.aql is None:
        return confidence_terms(args.confidence, args.defective, args.accept or 0, wherever=args.wherever)
    inspection: Inspection = args.inspection or "normal"
    if args.earlier is not None:
        inspection, reason = after_lots(args.earlier)
        notes.append(f"inspection is {inspection} after the earlier lots: {reason}")
    return table_terms(args.aql, args.level or "II", inspection)
