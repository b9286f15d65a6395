"""Opponent (c): merely reads the two CSVs with the csv module. Nothing can be quicker in plain Python."""

from __future__ import annotations

import csv
import sys
from pathlib import Path


def main(planned: str, found: str) -> None:
    """Read both files whole and print how many cells they hold."""
    cells = 0
    for name in (planned, found):
        with Path(name).open(encoding="utf-8", newline="") as stream:
            rows = list(csv.reader(stream))
        cells += sum(map(len, rows))
    sys.stdout.write(f"{cells} cells\n")


if __name__ == "__main__":
    main(*sys.argv[1:3])
