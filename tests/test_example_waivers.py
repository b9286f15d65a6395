"""Ostervik with its waivers, compared with the month before, as examples/README.md describes."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest

from audit.model.result import Result
from audit.reading.results import read_result
from audit.run import Order, run

ROOT = Path(__file__).parent.parent
SITE = Path("examples/ostervik")


def audit(readback: str, day: str, since: Path | None = None) -> Result:
    """Run the example with its waivers."""
    order = Order(
        SITE / "plan.yaml", [SITE / readback], run_on=day, waivers=[SITE / "waivers.yaml"], since=since
    )
    with contextlib.chdir(ROOT):
        return run(order)


@pytest.fixture(scope="module")
def earlier() -> Result:
    """Return the result of the month before."""
    return audit("as-found-earlier", "2026-04-17")


@pytest.fixture(scope="module")
def now() -> Result:
    """Return the result that is compared with it."""
    return audit("as-found", "2026-05-20", since=SITE / "earlier.json")


def test_the_earlier_result_is_that_of_the_earlier_readback(earlier: Result) -> None:
    """The file holds what a run of the month before finds; if not, make it again as the README says."""
    stored, _ = read_result(ROOT / SITE / "earlier.json")

    assert stored.findings == earlier.findings
    assert stored.waivers == earlier.waivers


def about(result: Result, *states: str) -> set[tuple[str, str | None]]:
    """Return rule and node of the findings that are new, updated or unchanged, as `states` says."""
    return {(finding.rule, finding.node) for finding in result.findings if finding.since in states}


def test_what_became_of_the_waivers(earlier: Result, now: Result) -> None:
    """All are in use at first; a month later one has expired, one has lapsed and one excuses nothing."""
    assert {used.state for used in earlier.waivers} == {"in use"}
    assert {used.id: used.state for used in now.waivers} == {
        "W-26-01": "expired",
        "W-26-03": "in use",
        "W-26-05": "lapsed",
        "W-26-06": "unused",
        "W-26-07": "in use",
    }


def test_waived_findings_are_listed_and_not_counted(now: Result) -> None:
    """Two findings are waived; the gate fails on the others."""
    waived = {(f.rule, f.node) for f in now.findings if f.waived}

    assert waived == {("firmware-off-list", "PD-54"), ("firmware-off-list", "GW-37")}
    assert (now.counts.waived, now.verdict) == (2, "fail")


def test_waivers_that_need_attention_are_findings(now: Result) -> None:
    """Waivers that have expired or lapsed, are unused or about to expire are findings."""
    assert {(f.rule, f.node) for f in now.findings if f.rule.startswith("waiver-")} == {
        ("waiver-expired", "TR-24"),
        ("waiver-expiring", "GW-37"),
        ("waiver-lapsed", "TS-17"),
        ("waiver-unused", "TS-20"),
    }


def test_what_changed_in_the_month(now: Result) -> None:
    """New, updated and gone findings are listed."""
    assert about(now, "new") == {
        ("unit-differs", "TS-132"),
        ("alarm-outside-range", "TS-17"),
        ("waiver-expired", "TR-24"),
        ("waiver-expiring", "GW-37"),
        ("waiver-lapsed", "TS-17"),
        ("waiver-unused", "TS-20"),
    }
    assert about(now, "updated") == {("alarm-off-plan", "TS-17"), ("firmware-off-list", "TR-24")}
    assert now.since is not None
    assert {(f.rule, f.node) for f in now.since.absent} == {
        ("report-interval-differs", "PD-140"),
        ("local-config-unlocked", "TS-20"),
        ("waiver-expiring", "TR-24"),
    }
