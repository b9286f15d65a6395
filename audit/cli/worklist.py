"""asfound worklist: what to do about the findings, step by step, so that no node is stranded."""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, TextIO

from audit.cli import options, terminal
from audit.cli.running import (
    files_read,
    print_made,
    readback_arguments,
    warn,
    without_garbage_collection,
    write_files,
)
from audit.cli.writing import outputs
from audit.errors import EXIT_FINDINGS, EXIT_PASS, stop, stop_at
from audit.reporting.formats import WORK_FORMATS, render_other

if TYPE_CHECKING:
    from audit.model.base import Position
    from audit.model.site import Site

HELP = "list the corrective work step by step, in an order that strands no node without need"
EXAMPLES = """examples:
  asfound worklist examples/merrow-vale/plan.yaml examples/merrow-vale/as-found
  asfound worklist examples/tarnbeck/plan.yaml examples/tarnbeck/as-found --spare 113
  asfound worklist plan.yaml readback --out work.html --out work.xlsx
  asfound worklist plan.yaml readback --start 1200,3400
  asfound worklist plan.yaml readback --radio North=gateway
  asfound worklist plan.yaml as-found --done as-left

Addresses change in an order in which no two devices ever come to answer at one; where devices wait for each
other's addresses, one goes through a spare address that is free as found and as planned. A gateway is set
before or after its nodes, whichever leaves these unheard for less time. What cannot be done in this way is
held back, with what to free first. The list is replayed step by step before it is printed. It authorises
nothing.

exit codes:
  0  nothing to do; with --done: nothing left to do
  1  there are steps, or changes that are held back
  2  no list: input missing, unreadable or invalid, wrong usage, or the list's own check fails
  130  interrupted
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    options.add_plan(parser)
    options.add_readback(parser, "what was read: files, or folders of them")
    parser.add_argument(
        "--done",
        metavar="READBACK",
        type=options.file,
        nargs="+",
        default=[],
        help="what was read after the work: ticks off the steps and reports what is newly wrong",
    )
    parser.add_argument(
        "--spare",
        metavar="N",
        type=options.whole,
        nargs="+",
        action="extend",
        default=[],
        help="addresses that devices may use on the way, if the plan has none to spare",
    )
    parser.add_argument(
        "--radio",
        metavar="NETWORK=WAY",
        action="append",
        default=[],
        help="bring a network to the radio settings that its plan has, its gateway shows or its nodes show "
        "(plan, gateway, nodes), if another way is advised; may be repeated",
    )
    options.add_start(parser)
    options.add_mapping(parser)
    options.add_files(parser, "--rules", "site rules")
    options.add_files(parser, "--waivers", "differences that somebody has accepted; they make no step")
    options.add_sample(parser)
    options.add_out(parser, "the list to a file, in the format of its ending (.txt .csv .xlsx .html .json)")
    options.add_format(parser, WORK_FORMATS)
    options.add_on(parser, "the list's date")
    terminal.add_arguments(parser)


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Make the list, write it, and return the exit code."""
    from audit.run import Order, audited
    from audit.worklist.making import Choices, make
    from audit.worklist.ticking import is_over, tick_off

    if not args.readback:
        raise stop(
            "no READBACK is given, and the list is made from what was found", "name the as-found readback"
        )
    files = outputs(args, WORK_FORMATS)
    order = Order(plan=args.plan, **readback_arguments(args))
    progress, telling = terminal.progress_on(stderr), partial(warn, stderr=stderr)
    with without_garbage_collection():
        found = audited(order, progress, telling)
        choices = Choices(args.spare, _position(args.start, found.site), _ways(args.radio))
        made = make(found, choices)
        work = made.list
        if args.done:
            work = tick_off(made, audited(replace(order, readback=args.done), progress, telling))
    progress("")
    rendered = partial(render_other, work)
    write_files(files, files_read(work.inputs), rendered)
    print_made(args, work, WORK_FORMATS, stdout, rendered)
    over = is_over(work) if args.done else not work.steps and not work.held_back
    return EXIT_PASS if over else EXIT_FINDINGS


def _ways(given: list[str]) -> dict[str, str]:
    """Return network → way, as given. Raises InputProblems."""
    found = {}
    for text in given:
        network, sign, way = text.rpartition("=")
        if not sign or way not in ("plan", "gateway", "nodes"):
            raise stop(
                f"--radio {text} is not NETWORK=WAY", "write --radio North=plan, North=gateway or North=nodes"
            )
        found[network] = way
    return found


def _position(start: tuple[float, float] | None, site: Site) -> Position | None:
    """Return where the work begins: on the site's grid where the plan has one, else on the earth."""
    if start is None:
        return None
    from audit.engineering.positions import at

    placed = [position for block in site.blocks for position in block.positions if position]
    try:
        return at(*start, on_grid=not placed or any(position.x_m is not None for position in placed))
    except ValueError as error:
        raise stop_at("--start", error) from None
