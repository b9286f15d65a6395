"""Since: findings against those of an earlier result."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.judging.since import compare
from audit.model.result import Finding, Result
from audit.reporting.json_report import render
from audit.run import Order, run
from tests.site_builder import SiteOf


def result(folder: Path, *nodes: dict[str, Any]) -> Result:
    """Return the result of nodes that were planned alike: channel 7, high alarm 80."""
    planned = [{"tag": node["tag"], "channel": 7, "alarm_high": 80} for node in nodes]
    found = [{"channel": 7, "alarm_high": 80, "default_refused": "yes"} | node for node in nodes]
    gateway = {"channel": 7}
    order = SiteOf(planned=planned, found=found, gateway=gateway,
                   gateway_found=gateway | {"default_refused": "yes"}).write(folder)  # fmt: skip
    return run(Order(order.plan, order.readback, run_on="2026-03-31"))


def states(now: Result, before: Result) -> dict[str, str | None]:
    """Return how each finding stands, by its id; those that are no more as 'absent'."""
    findings, since = compare(now.findings, before, "earlier.json", "digest")
    return {f.id: f.since for f in findings} | {f.id: "absent" for f in since.absent}


CHANNEL = "channel-differs/North/{}/channel"
ALARM = "alarm-off-plan/North/A/alarm_high"


def test_each_state(tmp_path: Path) -> None:
    """What came, what stayed, what has another value, and what went."""
    before = result(tmp_path / "1", {"tag": "A", "alarm_high": 70}, {"tag": "B", "channel": 9}, {"tag": "C"},
                    {"tag": "D", "channel": 12})  # fmt: skip
    now = result(tmp_path / "2", {"tag": "A", "alarm_high": 60}, {"tag": "B"}, {"tag": "C", "channel": 15},
                 {"tag": "D", "channel": 12})  # fmt: skip

    assert states(now, before) == {
        ALARM: "updated",
        CHANNEL.format("B"): "absent",
        CHANNEL.format("C"): "new",
        CHANNEL.format("D"): "unchanged",
    }


def test_a_row_that_moved_changes_nothing(tmp_path: Path) -> None:
    """The same finding in another row, among other nodes, is the same finding."""
    before = result(tmp_path / "1", {"tag": "A", "channel": 9}, {"tag": "B"})
    now = result(tmp_path / "2", {"tag": "X"}, {"tag": "B"}, {"tag": "A", "channel": 9})

    assert states(now, before) == {CHANNEL.format("A"): "unchanged"}


@pytest.mark.parametrize("field", ["level", "planned", "message"])
def test_what_counts_as_updated(field: str, tmp_path: Path) -> None:
    """A finding is another one to act on where its level, values or words change."""
    now = result(tmp_path, {"tag": "A", "channel": 9})
    other = {"level": "note", "planned": "8", "message": "other words"}[field]
    (finding,) = now.findings
    before = now.model_copy(update={"findings": [finding.model_copy(update={field: other})]})

    assert states(now, before) == {finding.id: "updated"}


@pytest.fixture(scope="module")
def some(tmp_path_factory: pytest.TempPathFactory) -> Result:
    """Return a result with six findings."""
    return result(
        tmp_path_factory.mktemp("some"), *({"tag": f"N{n}", "channel": 20 - 3 * n} for n in range(6))
    )


@given(st.sets(st.integers(0, 5)), st.sets(st.integers(0, 5)))
def test_every_finding_is_told_once(some: Result, now: set[int], before: set[int]) -> None:
    """New, unchanged and absent ones together are those of both results, each once."""
    picked: list[Finding] = [f for f in some.findings if f.node]

    def only(which: set[int]) -> Result:
        return some.model_copy(update={"findings": [f for i, f in enumerate(picked) if i in which]})

    findings, since = compare(only(now).findings, only(before), "earlier.json", "digest")
    assert {f.id for f in findings if f.since == "new"} == {picked[i].id for i in now - before}
    assert {f.id for f in findings if f.since == "unchanged"} == {picked[i].id for i in now & before}
    assert {f.id for f in since.absent} == {picked[i].id for i in before - now}


def test_an_earlier_result_of_another_site_is_refused(tmp_path: Path) -> None:
    """Findings of another site would all be new, and all of its own no more."""
    file = tmp_path / "earlier.json"
    now = result(tmp_path / "1", {"tag": "A"})
    other = now.model_copy(update={"site": now.site.model_copy(update={"name": "Elsewhere"})})
    file.write_text(render(other), encoding="utf-8")

    with pytest.raises(InputProblems, match="is a result of 'Elsewhere'"):
        run(Order(tmp_path / "1" / "plan.yaml", since=file))


def test_a_result_of_a_later_day_is_no_earlier_one(tmp_path: Path) -> None:
    """What is new since a day to come is new the wrong way round."""
    file = tmp_path / "later.json"
    now = result(tmp_path / "1", {"tag": "A"})
    file.write_text(render(now.model_copy(update={"run_on": "2026-04-01"})), encoding="utf-8")

    with pytest.raises(InputProblems, match="is of 2026-04-01, after 2026-03-31, the day of this run"):
        run(Order(tmp_path / "1" / "plan.yaml", run_on="2026-03-31", since=file))
