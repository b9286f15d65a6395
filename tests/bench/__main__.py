"""Times `asfound check` beside other ways to compare the same values, all in one run.

    python -m tests.bench                       80 to 100,000 nodes, a few minutes
    python -m tests.bench --sizes 80 1000       only these sizes
    python -m tests.bench --folder fleets       keeps the fleets, and uses those already there

Every program is a fresh process. Its wall time is the best of several runs, its memory the peak.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from tabulate import tabulate

from tests.bench.fleet import Fleet, make

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
ASFOUND = ("-m", "audit")
SIZES = (80, 1_000, 10_000, 100_000)
MOST_DEEPDIFF = 10_000
"""For more nodes DeepDiff is not run but extrapolated, unless --deepdiff-all is given."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a program took: the least of its runs."""

    seconds: float
    mb: float
    extrapolated: bool = False
    """Whether the seconds are those of a smaller fleet, multiplied."""
    cpu: float = 0.0
    """Processor seconds; unlike the wall time, hardly affected by other programs running."""


def cost(arguments: Sequence[str], exit_code: int = 0, rounds: int = 3) -> Cost:
    """Return what a Python program takes. Stops if its exit code is not the one expected."""
    command = [sys.executable, str(HERE / "measure.py"), sys.executable, *arguments]
    runs = [
        json.loads(subprocess.run(command, cwd=ROOT, check=True, capture_output=True).stdout)
        for _ in range(rounds)
    ]
    if any(run["exit"] != exit_code for run in runs):
        sys.exit(f"{' '.join(arguments)}: exit code {runs[0]['exit']}, {exit_code} was expected")
    least = {key: min(run[key] for run in runs) for key in ("seconds", "mb", "cpu")}
    return Cost(least["seconds"], least["mb"], cpu=least["cpu"])


def verify(result: Path, faults: set[tuple[str, str]]) -> None:
    """Stop unless the result reports every seeded fault, and nothing that is not about one.

    Findings about one setting name the faults; those about several, such as alarms out of order,
    must have a fault among them. Findings about no node stand for others, which are examined instead.
    """
    reported: set[tuple[str, str]] = set()
    findings = json.loads(result.read_text(encoding="utf-8"))["findings"]
    for finding in (f for f in findings if f["node"] or not f["dependents"]):
        concerned = {(finding["node"], name) for name in finding["settings"]}
        if not concerned & faults:
            sys.exit(f"nothing was seeded for the finding {finding['id']}")
        reported |= concerned if len(concerned) == 1 else set()
    if reported != faults:
        sys.exit(f"{len(faults - reported)} faults were not found, {len(reported - faults)} were not seeded")


def costs_of(fleet: Fleet, args: argparse.Namespace, smaller: Cost | None) -> dict[str, Cost]:
    """Return program → what it takes for one fleet. `smaller` is DeepDiff's cost at MOST_DEEPDIFF."""
    result = fleet.folder / "result.json"
    count = str(len(fleet.faults))

    def opponent(name: str, *more: str) -> Cost:
        return cost([str(HERE / name), *fleet.tables, *more], rounds=args.rounds)

    costs = {
        "asfound check": cost([*ASFOUND, "check", *fleet.inputs, "--out", str(result)], 1, args.rounds),
        "(a) pandas script": opponent("pandas_check.py", count),
    }
    verify(result, fleet.faults)
    if fleet.nodes <= MOST_DEEPDIFF or args.deepdiff_all:
        costs["(b) DeepDiff"] = opponent("deepdiff_check.py", count)
    elif smaller:
        times = fleet.nodes / MOST_DEEPDIFF
        costs["(b) DeepDiff"] = Cost(smaller.seconds * times, smaller.mb, extrapolated=True)
    return costs | {"(c) reading alone": opponent("read_only.py")}


def rows(nodes: int, costs: dict[str, Cost]) -> list[list[str]]:
    """Return the rows for one size: what each program took, and asfound's time as a multiple of it."""
    own = costs["asfound check"]
    return [
        [
            "" if n else f"{nodes:,}",
            name,
            f"{'about ' if its.extrapolated else ''}{its.seconds:.2f}",
            f"{own.seconds / its.seconds:.2f}" if n else "",
            "" if its.extrapolated else f"{its.mb:.0f}",
        ]
        for n, (name, its) in enumerate(costs.items())
    ]


def starting(rounds: int) -> list[list[str]]:
    """Return the rows on starting up: bare Python, the version, and a small example."""
    example = [f"examples/merrow-vale/{name}" for name in ("plan.yaml", "as-found")]
    bare = cost(["-c", "pass"], rounds=2 * rounds)
    costs = {
        "python -c pass": bare,
        "asfound --version": cost([*ASFOUND, "--version"], rounds=2 * rounds),
        "asfound check merrow-vale": cost([*ASFOUND, "check", *example], 1, rounds=2 * rounds),
    }
    return [
        [n, f"{c.seconds:.3f}", f"{c.seconds / bare.seconds:.1f}", f"{c.mb:.0f}"] for n, c in costs.items()
    ]


def arguments() -> argparse.Namespace:
    """Return the options."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=SIZES, metavar="N", help="numbers of nodes")
    parser.add_argument("--a-network", type=int, default=200, metavar="N", help="nodes in each network")
    parser.add_argument("--split", action="store_true", help="a node table for each network, not one for all")
    parser.add_argument("--rounds", type=int, default=3, metavar="N", help="runs, of which the best counts")
    parser.add_argument("--folder", type=Path, help="where fleets are kept; left out: a temporary folder")
    parser.add_argument(
        "--deepdiff-all", action="store_true", help=f"run DeepDiff beyond {MOST_DEEPDIFF:,} nodes"
    )
    return parser.parse_args()


def run(args: argparse.Namespace, folder: Path) -> None:
    """Measure and print the tables."""
    table: list[list[str]] = []
    own: dict[int, float] = {}
    smaller: Cost | None = None
    for nodes in sorted(args.sizes):
        name = f"{nodes}-by-{args.a_network}{'-split' if args.split else ''}"
        fleet = make(folder / name, nodes, args.a_network, split=args.split)
        costs = costs_of(fleet, args, smaller)
        smaller = costs.get("(b) DeepDiff") if nodes == MOST_DEEPDIFF else smaller
        own[nodes] = costs["asfound check"].seconds
        table += rows(nodes, costs)
        sys.stderr.write(f"{nodes:,} nodes done; every seeded fault was found, and nothing else\n")
    heads = ["nodes", "program", "seconds", "asfound takes, times", "peak MB"]
    right = ("right", "left", "right", "right", "right")
    sys.stdout.write(tabulate(table, heads, colalign=right, disable_numparse=True) + "\n")
    if any(row[2].startswith("about") for row in table):
        sys.stdout.write(
            f"about: extrapolated in proportion from {MOST_DEEPDIFF:,} nodes; --deepdiff-all runs it\n"
        )
    sys.stdout.writelines(
        f"from {fewer:,} to {more:,} nodes, {more / fewer:g} times as many, "
        f"asfound takes {own[more] / own[fewer]:.1f} times as long\n"
        for fewer, more in pairwise(own)
    )
    heads = ["start", "seconds", "times bare Python", "peak MB"]
    table = starting(args.rounds)
    sys.stdout.write(
        "\n" + tabulate(table, heads, colalign=("left", *right[2:]), disable_numparse=True) + "\n"
    )


def main() -> None:
    """Run the benchmark."""
    args = arguments()
    if args.folder:
        run(args, args.folder.resolve())
        return
    with tempfile.TemporaryDirectory(prefix="asfound-bench-") as folder:
        run(args, Path(folder))


if __name__ == "__main__":
    main()
