"""Run the study: a line for each rule, then every miss and everything reported without a reason."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from tabulate import tabulate

from tests.study.running import Judged, judged


def report(all_judged: list[Judged]) -> tuple[str, bool]:
    """Return the report of the study, and whether anything was missed or reported without a reason."""
    seeded = Counter(rule for one in all_judged for _, rule in one.seeded)
    missed = Counter(rule for one in all_judged for _, rule in one.missed)
    extra = Counter(rule for one in all_judged for rule, _ in one.extra)
    rows = [
        (rule, seeded[rule], seeded[rule] - missed[rule], missed[rule], extra[rule])
        for rule in sorted({*seeded, *extra})
    ]
    faults, misses, extras = seeded.total(), missed.total(), extra.total()
    findings = sum(one.findings for one in all_judged)
    recall = 100 * (faults - misses) / faults if faults else 100.0
    precision = 100 * (findings - extras) / findings if findings else 100.0
    lines = [
        tabulate(rows, ["rule", "seeded", "reported", "missed", "without a reason"]),
        "",
        f"{len(all_judged)} sites, {sum(not one.seeded for one in all_judged)} of them without a fault; "
        f"{faults} faults of {len(seeded)} rules; {findings} findings",
        f"recall {recall:.2f} %, precision {precision:.2f} %",
    ]
    for one in all_judged:
        for name, rule in one.missed:
            lines.append(f"seed {one.seed} ({one.form}): {name} was not reported by {rule}")
        for rule, message in one.extra:
            lines.append(f"seed {one.seed} ({one.form}): {rule} without a reason: {message}")
    return "\n".join(lines), bool(misses or extras)


def main() -> int:
    """Run the study with the arguments of the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.study", description=__doc__)
    parser.add_argument("--sites", type=int, default=1000)
    parser.add_argument(
        "--seed", type=int, default=1, help="of the first site; each further one takes the next"
    )
    asked = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        done = list(pool.map(judged, range(asked.seed, asked.seed + asked.sites), chunksize=8))
    text, bad = report(done)
    print(text)  # noqa: T201  the report of a program that is run by hand
    return int(bad)


if __name__ == "__main__":
    sys.exit(main())
