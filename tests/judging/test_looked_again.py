"""Looked again: what a later result did not look at is not gone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.judging.looked_again import not_looked_at
from audit.judging.since import compare
from audit.reading.files import FileBytes
from audit.run import Done, Order, run_whole
from tests.site_builder import SiteOf

AS_PLANNED = {"channel": 7, "alarm_high": 80, "default_refused": "yes"}
PLANNED: list[Any] = [
    {"tag": tag, "network": network, "channel": 7, "alarm_high": 80}
    for tag, network in (("A", "North"), ("B", "North"), ("C", "South"))
]
STRANGER = {"tag": "Z", "channel": 7}


def done(folder: Path, **found: dict[str, Any] | None) -> Done:
    """Return a run over three nodes in two networks, as planned except for what is given; None: not read."""
    rows = [{**node, **AS_PLANNED, **(found.get(node["tag"], {}) or {})}
            for node in PLANNED if found.get(node["tag"], {}) is not None]  # fmt: skip
    rows += [STRANGER] if found.get("Z") else []
    order = SiteOf(planned=PLANNED, found=rows, gateway={"channel": 7},
                   gateway_found={"channel": 7, "default_refused": "yes"}).write(folder)  # fmt: skip
    return run_whole(Order(order.plan, order.readback, run_on="2026-03-31"))


OFF: dict[str, Any] = {"alarm_high": 70}
CASES: list[Any] = [
    pytest.param({"A": {}}, set(), id="mended"),
    pytest.param({"A": None}, {"alarm-off-plan/North/A/alarm_high"}, id="node not read"),
    pytest.param({"A": {"alarm_high": ""}}, {"alarm-off-plan/North/A/alarm_high"}, id="setting not read"),
    pytest.param({"A": {"alarm_high": "7O"}}, {"alarm-off-plan/North/A/alarm_high"}, id="setting unclear"),
    pytest.param({"A": {"channel": ""}}, set(), id="another setting not read"),
    pytest.param({"B": None}, set(), id="another node not read"),
]


@pytest.mark.parametrize(("later", "unread"), CASES)
def test_only_what_was_read_can_be_gone(tmp_path: Path, later: dict[str, Any], unread: set[str]) -> None:
    """It agrees with `--since`, which knows the site as well as the results."""
    before, now = done(tmp_path / "1", A=OFF).result, done(tmp_path / "2", **later)
    compared = compare(now.result, before, FileBytes("e.json", Path("e.json"), b"", "digest"), now.site).since

    assert not_looked_at(before, now.result) == unread
    assert compared is not None
    assert {finding.id for finding in compared.not_read_again} == unread


def test_a_setting_that_was_blank_then_need_not_be_read_now(tmp_path: Path) -> None:
    """The end of the range was taken as planned both times; a deadband names alarms that are not set."""
    planned = {"range_low": 0, "range_high": 100, "alarm_high": 80}
    made = []
    for name, high in (("then", 120), ("now", 80)):
        order = SiteOf(planned=planned, found={"range_low": 0, "alarm_high": high}).write(tmp_path / name)
        made.append(run_whole(Order(order.plan, order.readback, run_on="2026-03-31")))
    before, now = made[0].result, made[1].result
    (outside,) = (one for one in before.findings if one.rule == "alarm-outside-range")
    since = compare(now, before, FileBytes("e.json", Path("e.json"), b"", "digest"), made[1].site).since

    assert outside.found == "alarm_high 120 kPa g, range_low 0 kPa g, range_high not read"
    assert since is not None
    assert outside.id in {one.id for one in since.absent}
    assert outside.id not in not_looked_at(before, now)


def test_what_its_rule_did_not_look_for_is_not_gone(tmp_path: Path) -> None:
    """Without the planned range nothing says how far the two numbers may be apart."""
    found = {"reading": 500, "host_reading": 800}
    made = []
    for name, planned in (("then", {"range_low": 0, "range_high": 1000}), ("now", {})):
        order = SiteOf(planned=planned, found=found).write(tmp_path / name)
        made.append(run_whole(Order(order.plan, order.readback, run_on="2026-03-31")))
    before, now = made[0].result, made[1].result
    (differs,) = (one.id for one in before.findings if one.rule == "host-reading-differs")
    since = compare(now, before, FileBytes("e.json", Path("e.json"), b"", "digest"), made[1].site).since

    assert since is not None
    assert differs in {one.id for one in since.not_read_again}
    assert differs in not_looked_at(before, now)


def test_a_stranger_is_gone_where_every_network_was_read_in_full(tmp_path: Path) -> None:
    """A device that is not in the plan may be in any place where nobody looked."""
    before = done(tmp_path / "1", Z=STRANGER).result
    (stranger,) = (finding.id for finding in before.findings if finding.rule == "unplanned-node")

    assert not_looked_at(before, done(tmp_path / "2", C=None).result) == {stranger}
    assert not_looked_at(before, done(tmp_path / "3").result) == set()


def test_what_the_plan_alone_shows_is_gone_when_it_is_mended(tmp_path: Path) -> None:
    """The plan is read in every run, whichever nodes are."""
    before, later = done(tmp_path / "1", A=OFF).result, done(tmp_path / "2", A=None).result
    (finding,) = before.findings
    of_plan = finding.model_copy(update={"evidence": finding.evidence[-1:]})
    planned = before.model_copy(update={"findings": [of_plan]})

    assert len(finding.evidence) == 2
    assert of_plan.evidence[0].file not in {file.file for file in before.inputs if file.kind == "readback"}
    assert not_looked_at(planned, later) == set()
