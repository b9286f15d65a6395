"""Run each fault on each command, many times, and print what went wrong."""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tabulate import tabulate

from tests.faults.commands import COMMANDS, Command
from tests.faults.disks import DISKS, can_mount
from tests.faults.rounds import FAULTS, Fault, undisturbed


def tried(
    command: Command, faults: dict[str, Fault], rounds: int, seed: int
) -> tuple[Command, dict[str, list[str]]]:
    """Return fault → what was wrong in all its rounds."""
    chance = random.Random(f"{command.name} {seed}")
    with tempfile.TemporaryDirectory() as place:
        good = undisturbed(command, Path(place) / "good")
        wrong: dict[str, list[str]] = {name: [] for name in faults}
        for name, fault in faults.items():
            for n in range(rounds if name == "killed" else max(2, rounds // 20)):
                wrong[name] += [
                    f"round {n}: {one}" for one in fault(command, good, Path(place) / "r", chance)
                ]
    return command, wrong


def main() -> int:
    """Run the rounds that the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument(
        "--rounds", type=int, default=200, help="rounds of killing; each other fault has a 20th"
    )
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        faults = FAULTS | (DISKS if can_mount(Path(place) / "disk") else {})
    with ThreadPoolExecutor(2) as pool:
        done = list(pool.map(lambda command: tried(command, faults, asked.rounds, asked.seed), COMMANDS))
    rows = [(command.name, *(len(wrong[name]) for name in faults)) for command, wrong in done]
    lines = [tabulate(rows, ["command", *faults]), ""]
    lines += [
        f"{command.name}, {name}: {one}" for command, wrong in done for name in faults for one in wrong[name]
    ]
    print("\n".join(lines))  # noqa: T201  the report of a program that is run by hand
    return int(any(any(row[1:]) for row in rows))


if __name__ == "__main__":
    sys.exit(main())
