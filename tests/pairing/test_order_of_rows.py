"""Pairing does not depend on the order of rows, columns and files, nor on how a readback is split."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import example, given
from hypothesis import strategies as st

from audit.model.result import Result
from tests.random_sites import QUICK
from tests.site_builder import result_of

CHANNELS = st.sampled_from(["7", "9", "12", "n/a", ""])
"""Values that never count up by one, so that no row looks like part of a filled series."""
ROW = st.fixed_dictionaries(
    {
        "channel": CHANNELS,
        "address": st.sampled_from(["1", "2", "3", "4", "247", ""]),
        "range_high": st.sampled_from(["10", "10.0", "10.05", "25", "1600", "0.1 bar", "x"]),
        "default_refused": st.sampled_from(["yes", "no", "not tried", ""]),
        "local_lock": st.sampled_from(["on", "off", ""]),
    }
)
ROW_NAMES: Sequence[str] = ("channel", "address", "range_high", "default_refused", "local_lock")
PLANNED: list[dict[str, Any]] = [
    {"tag": tag, "serial": f"10{n}", "channel": 7, "address": n, "range_high": 10, "local_lock": "on"}
    for n, tag in enumerate("ABCDE", 1)
]
NAMES = [{"tag": row["tag"], "serial": row["serial"]} for row in PLANNED]
STRANGE = [
    {"tag": "A", "serial": "102"},
    {"tag": "B", "serial": "101"},
    {"tag": "C", "serial": "999"},
    {"tag": "d", "serial": "104"},
    {"tag": "Z", "serial": "888"},
]
"""Two units exchanged, a strange serial number, a tag in small letters, and a stranger."""


@st.composite
def readbacks(draw: st.DrawFn) -> list[dict[str, str]]:
    """Return rows of a readback: up to five devices, each read once, under right or wrong names."""
    names = draw(st.sampled_from([NAMES, STRANGE]))
    chosen = draw(st.lists(st.sampled_from(range(5)), min_size=1, unique=True))
    return [{**{k: str(v) for k, v in names[n].items()}, **draw(ROW)} for n in chosen]


def check(found: Any) -> Result:
    """Return the result of a readback of the five planned nodes."""
    with tempfile.TemporaryDirectory() as folder:
        gateway = {"channel": 7, "default_refused": "yes"}
        return result_of(Path(folder), planned=PLANNED, found=found, gateway=gateway)


def essence(result: Result) -> tuple[Any, ...]:
    """Return all that a result says, except for the places that it quotes."""
    findings = [
        finding.model_dump(exclude={"evidence", "others", "raw"}) | {"others": sorted(finding.others)}
        for finding in result.findings
    ]
    return result.verdict, result.counts, sorted(findings, key=lambda f: str(f["id"])), result.not_checked


@QUICK
@given(readbacks(), st.randoms(use_true_random=False), st.integers(0, 5), st.integers(1, 4))
@example([{"tag": "Z", "serial": "888", **dict.fromkeys(ROW_NAMES, ""), "address": "1"}], Random(0), 0, 1)
def test_order_and_splitting_change_nothing(
    rows: list[dict[str, str]], random: Random, row: int, column: int
) -> None:
    """The same readback gives the same findings and the same verdict, however its rows and columns stand."""
    expected = essence(check(rows))

    assert essence(check(shuffled(rows, random))) == expected
    assert essence(check(split_by_rows(rows, row))) == expected
    assert essence(check(split_by_columns(rows, column))) == expected


def shuffled(rows: list[dict[str, str]], random: Random) -> list[dict[str, str]]:
    """Return the rows and columns in another order."""
    return [dict(random.sample(list(row.items()), len(row))) for row in random.sample(rows, len(rows))]


def split_by_rows(rows: list[dict[str, str]], at: int) -> dict[str, list[dict[str, str]]]:
    """Return two files with some of the rows each, or one with all of them."""
    return {name: part for name, part in (("one.csv", rows[:at]), ("two.csv", rows[at:])) if part}


def split_by_columns(rows: list[dict[str, str]], at: int) -> dict[str, list[dict[str, str]]]:
    """Return a sheet and an export with some of the settings each."""
    parts = (ROW_NAMES[:at], ROW_NAMES[at:])
    return {
        f"{n}.csv": [{key: row[key] for key in ("tag", "serial", *part)} for row in rows]
        for n, part in enumerate(parts)
    }


@QUICK
@given(st.permutations(["2026-04-01", "2026-04-02T09:00", "2026-04-02T09:30"]), CHANNELS)
def test_the_newest_reading_wins_in_any_order_of_files(times: list[str], newest: str) -> None:
    """Of three dated readings the newest one that is not blank counts, wherever its file stands."""
    value = {"2026-04-01": "12", "2026-04-02T09:00": "9", "2026-04-02T09:30": newest}
    files = {f"{n}.csv": [{"channel": value[time], "read_at": time}] for n, time in enumerate(times)}

    findings = check(files).findings

    found = [f.found for f in findings if f.node == "A" and f.setting == "channel"]
    expected = newest if newest not in ("", "n/a") else "9"
    assert found == ([] if expected == "7" else [expected])
