"""Weighing: an honest readback is never accused, and a copied one is."""

from __future__ import annotations

import math
import random
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.model.result import Finding
from tests.checks.copied.rounds import DAY, READER, at, by, copied, nodes
from tests.random_sites import QUICK

MANY_SITES = settings(QUICK, max_examples=60)
SEEDS = st.integers(0, 2**32 - 1)
"""A seed, and not the numbers themselves: people's pace is random, and not made to look like clockwork."""


def plan(chance: random.Random, own_spelling: bool) -> list[dict[str, Any]]:
    """Return planned nodes, written short, as displays show them, or in a spelling of the planner's own."""
    way = chance.choice(["short", "display"]) if not own_spelling else "own"
    forms = {"short": ("{}", "{:g}"), "display": ("{:02}", "{:.1f}"), "own": ("{:04}", "{:.3f}")}[way]
    place = [0.0, 0.0]
    rows = []
    for n in range(chance.randint(3, 25)):
        place = [x + chance.uniform(-300, 300) for x in place]
        rows.append(
            {
                "channel": forms[0].format(7),
                "address": forms[0].format(11 + n),
                "report_interval": 60,
                "range_low": 0,
                "range_high": forms[1].format(chance.choice([100, 250.5, 1000])),
                "x_m": round(place[0]),
                "y_m": round(place[1]),
                "installed_on": "2026-03-01",
            }
        )
    return rows


def read(planned: list[dict[str, Any]], chance: random.Random) -> list[dict[str, Any]]:
    """Return what an honest person reads, on foot, two to ten minutes a node, off displays with all zeros."""
    minute, rows, here = 0.0, [], None
    for row in planned:
        there = (row["x_m"], row["y_m"])
        minute += math.dist(here or there, there) / 1.4 / 60 + chance.uniform(2, 10)
        here = there
        rows.append(
            {
                "channel": f"{int(row['channel']):02}",
                "address": f"{int(row['address']):03}",
                "report_interval": 60,
                "range_low": "0.0",
                "range_high": f"{float(row['range_high']):.1f}",
                "reading": f"{chance.uniform(1, 90):.1f}",
                "read_by": READER,
                "read_at": at(minute),
            }
        )
    return rows


def accused(planned: list[dict[str, Any]], found: list[dict[str, Any]]) -> list[Finding]:
    """Return the findings that a readback looks copied."""
    with tempfile.TemporaryDirectory() as folder:
        return copied(Path(folder), found, planned)


@MANY_SITES
@given(SEEDS, st.booleans())
def test_an_honest_readback_is_never_accused(seed: int, own_spelling: bool) -> None:
    """Whatever the plan's spelling, the way and the pace, a person who reads displays is not suspected."""
    chance = random.Random(seed)
    planned = plan(chance, own_spelling)

    assert accused(planned, read(planned, chance)) == []


@MANY_SITES
@given(SEEDS)
def test_an_honest_readback_with_rounded_times_is_not_accused_either(seed: int) -> None:
    """Many people round to five minutes."""
    chance = random.Random(seed)
    planned = plan(chance, own_spelling=False)
    found = read(planned, chance)
    for row in found:
        row["read_at"] = f"{row['read_at'][:-1]}{'0' if row['read_at'][-1] < '5' else '5'}"

    assert accused(planned, found) == []


@MANY_SITES
@given(SEEDS, st.sampled_from(["letters", "a minute each", "filled down, one reading", "last year's"]))
def test_a_copied_readback_is_accused(seed: int, way: str) -> None:
    """The plan's cells, times of a series, one reading for all, or an old sheet with a new date."""
    chance = random.Random(seed)
    planned = [*plan(chance, own_spelling=way == "letters"), *plan(chance, own_spelling=way == "letters")]
    honest = read(planned, chance)
    cells = [{k: v for k, v in row.items() if k not in ("x_m", "y_m", "installed_on")} for row in planned]
    if way == "letters":
        found: Any = [row | {"read_by": READER} for row in cells]
    elif way == "a minute each":
        found = [row | {"read_at": f"{DAY}T08:00:{n * 2:02}"} for n, row in enumerate(honest[:30])]
        planned = planned[:30]
    elif way == "filled down, one reading":
        found = [row | {"read_at": at(5 * n), "reading": "41.5"} for n, row in enumerate(honest)]
    else:
        found = {"new.csv": honest, "old.csv": [row | {"read_at": "2025-04-01"} for row in honest]}

    assert [f.rule for f in accused(planned, found)] == ["readback-looks-copied"]


def test_strong_signs_come_first(tmp_path: Path) -> None:
    """The strongest sign comes first, and its place is the first evidence."""
    own = nodes(6, channel="007", range_high="10.00")
    found = [row | {"read_by": READER, "read_at": at(0)} for row in own]

    (finding,) = copied(tmp_path, found, own)

    assert "shows 2 signs of copying: all 12 texts are the plan's to the letter" in finding.message
    assert "; all 6 nodes are recorded as read in one minute" in finding.message
    assert [e.raw for e in finding.evidence] == ["007", at(0)]


def test_a_network_and_a_reader_have_a_finding_each(tmp_path: Path) -> None:
    """Each reader who copied is reported separately, with the network."""
    own = nodes(12, channel="007", range_high="10.00", network=["North"] * 6 + ["South"] * 6)
    found = [row | {"read_by": READER} for row in nodes(12, channel="007", range_high="10.00")]

    assert [f.network for f in copied(tmp_path, found, own)] == ["North", "South"]


@pytest.mark.parametrize("found", [[], by(READER, [0]), nodes(3, channel="")], ids=["none", "one", "blank"])
def test_too_little_is_no_readback_to_suspect(found: list[dict[str, Any]], tmp_path: Path) -> None:
    """One node, or cells that nobody filled in, cannot have been copied."""
    assert copied(tmp_path, [*found, {"tag": "Z", "channel": 7}], nodes(3, channel=7)) == []
