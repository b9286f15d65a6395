"""asfound figures as a command."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

from tests.small_site import run

CANALS = Path(__file__).parents[2] / "examples/sallow-creek"
PLAN, AS_FOUND = CANALS / "plan.yaml", CANALS / "as-found"


def test_the_example_lists_every_margin() -> None:
    """A table for each network; the one weak link is marked, and the way on is named."""
    outcome = run("figures", PLAN, AS_FOUND)

    assert outcome.code == 0
    assert "as found; beside what was read, the values of the plan count" in outcome.written
    assert "NETWORK Tail End" in outcome.stdout
    assert "AT-516 ! 7 dB 23 dB -80 dBm" in " ".join(outcome.stdout.split())
    assert outcome.stdout.count("!") == 2  # beside the figure, and where it is explained
    assert "room for 4 more nodes: 4 by its addresses, 161 to 192" in outcome.written


def test_one_device_with_its_sums() -> None:
    """For whoever stands below the antenna: what to expect, and how that was worked out."""
    outcome = run("figures", PLAN, "--only", "LT-104", "--width", "200")

    assert (
        "link margin 41 dB, at least 10 dB: 14 dBm + 3 dBi − 1 dB feeder − 90.4 dB over 908 m at 869.5 MHz "
        "(free space) + 6 dBi − 1 dB feeder = -69.4 dBm, against -110 dBm" in outcome.written
    )
    assert "LT-101" not in outcome.stdout


def test_one_network_is_a_table_as_in_the_whole_list() -> None:
    """Its sums would be long, and each can be asked for."""
    outcome = run("figures", PLAN, "--only", "Alder Cut")

    assert "NETWORK Alder Cut" in outcome.stdout
    assert "Headworks" not in outcome.stdout
    assert "dBi" not in outcome.stdout


def test_all_formats_hold_the_same_figures(tmp_path: Path) -> None:
    """CSV and JSON have each with its sum and limits; a negative number is no formula."""
    table, whole = tmp_path / "f.csv", tmp_path / "f.json"
    code = run("figures", PLAN, AS_FOUND, "--quiet", "--out", table, "--out", whole).code
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8-sig"))))
    lines = json.loads(whole.read_text(encoding="utf-8"))["lines"]

    assert code == 0
    assert [row["node"] for row in rows] == [line["node"] or "" for line in lines]
    assert [row["sum"] for row in rows] == [line["sum"] for line in lines]
    assert [row["node"] for row in rows if row["beyond"] == "yes"] == ["AT-516"]
    assert all(row["value"].startswith("'-") for row in rows if row["figure"] == "expected signal")


def test_what_is_refused() -> None:
    """A device that the plan does not have; an ending that is no format."""
    missing = run("figures", PLAN, "--only", "LT-1O4")

    assert missing.code == 2
    assert "--only 'LT-1O4': the plan has no such device or network" in missing.stderr
    assert "nearest: LT-104" in missing.stderr
    assert run("figures", PLAN, "--out", "f.html").code == 2
