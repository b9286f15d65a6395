"""Opponent (a): a plain pandas script, as somebody might write it for one fleet.

It compares all columns, and looks for addresses used twice in a network and alarms out of order. It
exits with code 0 only if it finds as many differences as its third argument says.
"""

from __future__ import annotations

import sys

import pandas as pd

TEXT = ("network", "tag", "serial", "network_id", "firmware")
ALARMS = ["low_low_alarm", "low_alarm", "high_alarm", "high_high_alarm"]


def main(planned: str, found: str, expected: str) -> None:
    """Check the fleet, print what is wrong with it, and exit."""
    plan, read = table(planned), table(found)
    read = read.reindex(plan.index)
    differing = 0
    for column in plan.columns:
        one, other = plan[column], read[column]
        wrong = plan.index[(one != other).to_numpy()]
        differing += len(wrong)
        for serial in wrong:
            sys.stdout.write(f"{serial}: {column} is {other[serial]}, planned {one[serial]}\n")
    twice = read[read.duplicated(["network", "address"], keep=False)]
    sys.stdout.write(twice[["network", "tag", "address"]].to_string() + "\n")
    unordered = (read[ALARMS].diff(axis=1).iloc[:, 1:] <= 0).any(axis=1)
    sys.stdout.write(read.loc[unordered, ["network", "tag", *ALARMS]].to_string() + "\n")
    sys.exit(differing != int(expected))


def table(name: str) -> pd.DataFrame:
    """Return the nodes of a file by serial number."""
    return pd.read_csv(name, dtype=dict.fromkeys(TEXT, str)).set_index("serial")


if __name__ == "__main__":
    main(*sys.argv[1:4])
