"""Times `asfound drift` beside `asfound check` and DeepDiff on the same values, all in one run.

    python -m tests.bench.drift                          100,000 nodes of 30 settings
    python -m tests.bench.drift --nodes 10000 --folder fleets

A fleet is read as planned and sealed. Then 1 % of its nodes change in one setting each, and a second
readback is made. All three compare the same values: check the second readback with the plan, drift
with the baseline, DeepDiff the tables of the two. Every program is a fresh process.
"""

from __future__ import annotations

import argparse
import csv
import json
import random
import sys
import tempfile
from pathlib import Path

from tabulate import tabulate

from tests.bench.__main__ import ASFOUND, HERE, Cost, cost
from tests.bench.fleet import SETTINGS, Fleet, make, slipped

CHANGED = 0.01
"""The fraction of the nodes that change after the baseline, in one setting each."""


def prepare(fleet: Fleet) -> tuple[Path, int, Cost]:
    """Write the readback of a later day. Return the baseline, the number of changes, the cost of sealing."""
    folder = fleet.folder
    baseline = folder / "baseline.json"
    baseline.unlink(missing_ok=True)
    who = ["--signed-by", "R. Sample", "--on", "2026-03-31", "--even-failing"]
    sealing = cost([*ASFOUND, "seal", *fleet.inputs, *who, "--out", str(baseline)], rounds=1)
    chance = random.Random(7)
    with (folder / "found.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    changed = chance.sample(range(len(rows)), round(CHANGED * len(rows)))
    for k in changed:
        name = chance.choice(list(SETTINGS))
        rows[k][name] = slipped(name, rows[k][name], chance)
    with (folder / "later.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return baseline, len(changed), sealing


def verify(result: Path, changed: int) -> None:
    """Stop unless the result reports as many unexplained changes as were made, and nothing else."""
    findings = json.loads(result.read_text(encoding="utf-8"))["findings"]
    reported = [f for f in findings if f["rule"] == "drift-unexplained"]
    rest = {f["rule"] for f in findings} - {"drift-unexplained", "same-drift-on-many-nodes"}
    if len(reported) != changed or rest:
        sys.exit(f"{changed} settings changed, {len(reported)} were reported; also reported: {sorted(rest)}")


def measure(nodes: int, folder: Path, rounds: int) -> list[list[str]]:
    """Return the rows of the table."""
    fleet = make(folder / f"{nodes}-by-200", nodes, 200)
    baseline, changed, sealing = prepare(fleet)
    place = fleet.folder
    plan, result = str(place / "plan.yaml"), place / "drift.json"
    later = [str(place / "later.csv"), str(place / "gateways.csv")]
    end = ["--on", "2026-06-30", "--quiet", "--out"]
    drift = [*ASFOUND, "drift", str(baseline), *later]
    own = cost([*drift, *end, str(result)], 1, rounds)
    verify(result, changed)
    whole = [str(HERE / "deepdiff_drift.py"), str(baseline), *later, str(changed)]
    costs: dict[str, Cost] = {
        "asfound drift": own,
        "asfound check": cost([*ASFOUND, "check", plan, *later, *end, str(place / "check.json")], 1, rounds),
        "DeepDiff on the whole": cost(whole, rounds=1),
        "asfound drift --plan": cost([*drift, "--plan", plan, *end, str(result)], 1, rounds),
        "asfound drift, JSON Patch": cost([*drift, *end, str(place / "drift.patch.json")], 1, rounds),
        "asfound seal": sealing,
    }
    return [
        [
            "" if n else f"{nodes:,}",
            name,
            f"{its.cpu:.2f}",
            f"{its.seconds:.2f}",
            f"{own.cpu / its.cpu:.3f}",
            f"{its.mb:.0f}",
        ]
        for n, (name, its) in enumerate(costs.items())
    ]


def main() -> None:
    """Measure and print the table."""
    words = (__doc__ or "").split("\n", maxsplit=1)[0]
    parser = argparse.ArgumentParser(prog="python -m tests.bench.drift", description=words)
    parser.add_argument("--nodes", type=int, default=100_000, metavar="N")
    parser.add_argument("--rounds", type=int, default=3, metavar="N", help="runs, of which the best counts")
    parser.add_argument("--folder", type=Path, help="where fleets are kept; left out: a temporary folder")
    args = parser.parse_args()
    heads = ["nodes", "program", "processor s", "wall s", "drift takes, times", "peak MB"]
    with tempfile.TemporaryDirectory(prefix="asfound-bench-") as folder:
        table = measure(args.nodes, args.folder.resolve() if args.folder else Path(folder), args.rounds)
    right = ("right", "left", "right", "right", "right", "right")
    sys.stdout.write(tabulate(table, heads, colalign=right, disable_numparse=True) + "\n")


if __name__ == "__main__":
    main()
