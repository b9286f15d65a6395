"""Opponent (b): DeepDiff on the same values, as two dictionaries of dictionaries.

Exits with code 0 only if it finds as many differences as its third argument says.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

from deepdiff import DeepDiff

IDENTITY = ("network", "tag", "serial")


def main(planned: str, found: str, expected: str) -> None:
    """Compare the values of every node, paired by serial number."""
    difference = DeepDiff(values(planned), values(found))
    changed = difference.get("values_changed", {})
    sys.stdout.write("".join(f"{where}: {change}\n" for where, change in changed.items()))
    sys.exit(set(difference) > {"values_changed"} or len(changed) != int(expected))


def values(name: str) -> dict[str, dict[str, float | str]]:
    """Return serial number → setting → value, numbers as numbers."""
    with Path(name).open(encoding="utf-8", newline="") as stream:
        return {
            row["serial"]: {key: number(text) for key, text in row.items() if key not in IDENTITY}
            for row in csv.DictReader(stream)
        }


def number(text: str) -> float | str:
    """Return a text as a number if it is one, or else unchanged."""
    try:
        return float(text)
    except ValueError:
        return text


if __name__ == "__main__":
    main(*sys.argv[1:4])
