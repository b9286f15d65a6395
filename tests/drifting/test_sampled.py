"""Drift where only a sample was visited: what is outside it is neither gone nor unread, and is listed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonpatch
import pytest

from audit.model.result import Result
from tests.baselines import data_of
from tests.drifts import Then, reported
from tests.refusing import assert_clear
from tests.small_site import SETTINGS, node, run

HOST_HIGH = {"name": "host_high", "kind": "decimal", "unit": "kPa", "step": 0.1, "read_at": "host"}
"""What the control room's list shows of a node, whether anybody was there or not."""


def written(folder: Path, *, seed: str = "1", **then: Any) -> tuple[list[str | Path], str]:
    """Write a site with a sample of one node, and return the arguments of drift and the node's tag."""
    arguments = [*Then(**{"plan": {}, **then}).write(folder), "--sample", folder / "sample.json"]
    terms = ("--lot", "site", "--confidence", "60", "--defective", "60", "--seed", seed)
    drawn = run("sample", folder / "plan" / "plan.yaml", *terms, "--out", folder / "sample.json")
    assert drawn.code == 0, drawn.written
    (one,) = json.loads((folder / "sample.json").read_text(encoding="utf-8"))["lots"][0]["drawn"]
    return arguments, one["node"]


def result(folder: Path, arguments: list[str | Path], *more: str | Path) -> Result:
    """Return the result of drift."""
    outcome = run("drift", *arguments, "--quiet", "--out", folder / "drift.json", *more)
    assert outcome.code in (0, 1), outcome.written
    return Result.model_validate_json((folder / "drift.json").read_text(encoding="utf-8"))


def others(drawn: str) -> list[str]:
    """Return the nodes of the small site that a sample of one node leaves out."""
    return [tag for tag in ("N-1", "N-2", "N-3") if tag != drawn]


def test_nodes_outside_the_sample_are_not_gone_but_not_sampled(tmp_path: Path) -> None:
    """Nobody was to visit them, so nothing is known of them: a pass says that."""
    _, drawn = written(tmp_path / "which")
    arguments, _ = written(tmp_path, gone=others(drawn))

    found = result(tmp_path, arguments, "--out", tmp_path / "drift.md", "--out", tmp_path / "drift.html")
    text = " ".join(run("drift", *arguments, "--color", "never").stdout.split())

    assert reported(found) == []
    assert found.verdict == "pass"
    assert found.not_sampled == [("Main", others(drawn))]
    assert f"NOT CHECKED not sampled in Main: {', '.join(others(drawn))}" in text
    assert "only the nodes of the sample" in text
    assert "Not sampled, and so not checked, in Main: 2 nodes." in (tmp_path / "drift.md").read_text()
    assert f"<dt>Main</dt><dd>{', '.join(others(drawn))}</dd>" in (tmp_path / "drift.html").read_text()
    assert "--sample" in found.command


def test_a_node_of_the_sample_that_is_in_no_readback_is_gone(tmp_path: Path) -> None:
    """The sample is no excuse for a node that was to be visited."""
    _, drawn = written(tmp_path / "which")
    arguments, _ = written(tmp_path, gone=[drawn])

    assert reported(result(tmp_path, arguments)) == [("node-gone", drawn, None)]


def test_a_visited_node_outside_the_sample_is_compared(tmp_path: Path) -> None:
    """What was read counts, whoever was to read it."""
    _, drawn = written(tmp_path / "which")
    visited, left = others(drawn)
    arguments, _ = written(tmp_path, gone=[left], now={visited: {"high_alarm": "760"}})

    found = result(tmp_path, arguments)

    assert reported(found) == [("drift-unexplained", visited, "high_alarm")]
    assert found.not_sampled == [("Main", [left])]


def test_a_node_that_the_plan_no_longer_has_is_gone(tmp_path: Path) -> None:
    """A sample of the plan's nodes says nothing of it."""
    arguments, _ = written(tmp_path, nodes=[node(1), node(2)], plan_without=["N-2"], gone=["N-2"])

    found = result(tmp_path, arguments)

    assert [(f.rule, f.node) for f in found.findings] == [("device-change-without-record", "N-2")]
    assert found.not_sampled == []


def test_a_node_with_a_new_tag_in_the_plan_is_known_by_it(tmp_path: Path) -> None:
    """The sample has the plan's names, the baseline those of then."""
    renamed = {f"N-{n}": {"tag": f"N-{n}0"} for n in (1, 2, 3)}
    _, drawn = written(tmp_path / "which", plan=renamed)
    left = others(drawn.removesuffix("0"))
    arguments, _ = written(tmp_path, plan=renamed, gone=left)

    found = result(tmp_path, arguments)

    assert found.not_sampled == [("Main", left)]
    assert "node-gone" not in {finding.rule for finding in found.findings}


def test_a_list_of_the_host_says_what_it_says_of_nodes_that_nobody_visited(tmp_path: Path) -> None:
    """A value that has drifted there is a finding; the settings that it lacks are not sampled."""
    nodes = [node(n, host_high=780) for n in (1, 2, 3)]
    site: dict[str, Any] = {"nodes": nodes, "settings": [*SETTINGS, HOST_HIGH]}
    _, drawn = written(tmp_path / "which", **site)
    blank = {setting["name"]: "" for setting in SETTINGS}
    first, second = others(drawn)
    now = {first: {**blank, "host_high": "750"}, second: blank}
    arguments, _ = written(tmp_path, now=now, **site)

    found = result(tmp_path, arguments, "--out", tmp_path / "drift.patch.json")
    patch = json.loads((tmp_path / "drift.patch.json").read_text(encoding="utf-8"))
    before = data_of(tmp_path / "then" / "baseline.json")["content"]["devices"]["Main"]
    after = jsonpatch.apply_patch(data_of(tmp_path / "then" / "baseline.json"), patch)

    assert reported(found) == [("drift-unexplained", first, "host_high")]
    assert found.not_sampled == [("Main", [first, second])]
    assert after["content"]["devices"]["Main"] == {
        **before,
        first: {**before[first], "settings": {**before[first]["settings"], "host_high": "750"}},
    }


def test_of_many_that_were_missing_those_outside_the_sample_still_are(tmp_path: Path) -> None:
    """What was said of all of them together is not gone either."""
    nodes = [node(n) for n in range(1, 7)]
    arguments, drawn = written(tmp_path / "then", nodes=nodes, gone=[one["tag"] for one in nodes])
    earlier = tmp_path / "earlier.json"
    assert run("drift", *arguments[:-2], "--quiet", "--out", earlier).code == 1
    left = [one["tag"] for one in nodes if one["tag"] != drawn]
    again, _ = written(tmp_path / "now", nodes=nodes, gone=left)

    since = result(tmp_path / "now", again, "--since", earlier).since

    assert since
    assert [(one.rule, one.node) for one in since.absent] == [("node-gone", drawn)]
    together = [(one.rule, one.node) for one in since.not_read_again if one.rule != "node-gone"]
    assert together == [("not-read-on-many-nodes", None)]


def test_a_patch_leaves_alone_what_nobody_visited(tmp_path: Path) -> None:
    """It would remove the nodes from the baseline otherwise."""
    _, drawn = written(tmp_path / "which")
    arguments, _ = written(tmp_path, gone=others(drawn))

    result(tmp_path, arguments, "--out", tmp_path / "drift.patch.json")

    patch = json.loads((tmp_path / "drift.patch.json").read_text(encoding="utf-8"))
    assert [step["path"] for step in patch] == ["/sha256"]


def test_a_patch_has_a_node_that_was_found_under_the_tag_of_one_that_nobody_visited(tmp_path: Path) -> None:
    """Both are in it; the name is that of the node which has it in the baseline."""
    _, drawn = written(tmp_path / "which")
    first, left = others(drawn)
    arguments, _ = written(tmp_path, now={first: {"tag": left}}, gone=[left])
    baseline = data_of(tmp_path / "then" / "baseline.json")

    result(tmp_path, arguments, "--out", tmp_path / "drift.patch.json")

    patch = json.loads((tmp_path / "drift.patch.json").read_text(encoding="utf-8"))
    devices = jsonpatch.apply_patch(baseline, patch)["content"]["devices"]["Main"]
    before = baseline["content"]["devices"]["Main"]
    assert devices == before | {first: before[first] | {"read_tag": left}}


def test_a_sample_needs_the_plan_that_it_was_drawn_from(tmp_path: Path) -> None:
    """Only with it can one tell that nobody has chosen the nodes."""
    arguments, _ = written(tmp_path)
    at = arguments.index("--plan")
    outcome = run("drift", *arguments[:at], *arguments[at + 2 :])

    assert_clear(outcome.stderr)
    assert outcome.problems == [
        "--sample: a sample is drawn from a plan, and there is none\n    fix: give the plan (--plan)"
    ]


NEW = {"tag": "N-9", "serial": "100009", "settings": {"address": 19}}
"""A node that the plan has since the baseline was sealed."""


def test_a_new_node_that_nobody_was_to_visit_is_not_sampled(tmp_path: Path) -> None:
    """It may be there by now; that it is still to come would be said of it without anybody having looked."""
    _, drawn = written(tmp_path / "which", plan_more=[NEW])
    assert drawn != "N-9"
    arguments, _ = written(tmp_path, plan_more=[NEW], gone=others(drawn))

    found = result(tmp_path, arguments)

    assert reported(found) == []
    assert found.not_sampled == [("Main", [*others(drawn), "N-9"])]


def test_a_new_node_of_the_sample_that_is_in_no_readback_is_still_to_come(tmp_path: Path) -> None:
    """Somebody was to visit it."""
    gone, seed = ["N-1", "N-2", "N-3"], "7"
    arguments, drawn = written(tmp_path, plan_more=[NEW], gone=gone, seed=seed)
    assert drawn == "N-9"

    found = result(tmp_path, arguments)

    assert reported(found) == [("device-change-pending", "N-9", None)]
    assert found.not_sampled == [("Main", gone)]


@pytest.mark.parametrize(
    "change",
    [
        {"what": "exchange", "to": "555"},
        {"what": "retag", "to": "N-77"},
        {"what": "move", "to": "Elsewhere"},
        {"what": "setting", "setting": "high_alarm", "to": 760},
        {"what": "added", "node": "N-9"},
    ],
)
def test_a_record_about_a_node_that_nobody_visited_is_not_doubted(
    change: dict[str, Any], tmp_path: Path
) -> None:
    """Only a visit could bear it out."""
    _, drawn = written(tmp_path / "which", plan_more=[NEW])
    record = {"node": others(drawn)[0], **change}
    arguments, _ = written(tmp_path, plan_more=[NEW], gone=others(drawn), changes=[record])

    found = result(tmp_path, arguments)

    assert reported(found) == []
    assert found.drift
    assert [(one.id, one.state) for one in found.drift.changes] == [("C-1", "not read")]


def test_a_record_about_a_node_of_the_sample_needs_bearing_out(tmp_path: Path) -> None:
    """It was read, and has the old unit."""
    _, drawn = written(tmp_path / "which")
    record = {"what": "exchange", "node": drawn, "to": "555"}
    arguments, _ = written(tmp_path, gone=others(drawn), changes=[record])

    assert reported(result(tmp_path, arguments)) == [("record-not-borne-out", drawn, None)]


def test_what_nobody_looked_at_again_is_not_gone(tmp_path: Path) -> None:
    """A node was missing before; outside the sample it is missing still, for all that is known."""
    _, drawn = written(tmp_path / "which", plan_more=[NEW])
    left = others(drawn)
    record = {"what": "exchange", "node": left[0], "to": "555"}
    arguments, _ = written(tmp_path, plan_more=[NEW], gone=left, changes=[record])
    earlier, later = tmp_path / "earlier.json", tmp_path / "drift.json"
    assert run("drift", *arguments[:-2], "--quiet", "--out", earlier).code == 1

    since = result(tmp_path, arguments, "--since", earlier, "--on", "2026-07-01").since
    summary = json.loads(run("summary", earlier, later, "--format", "json").stdout)

    assert since
    assert since.absent == []
    assert sorted((one.rule, one.node) for one in since.not_read_again) == [
        ("device-change-pending", "N-9"),
        ("node-gone", left[0]),
        ("node-gone", left[1]),
        ("record-not-borne-out", left[0]),
    ]
    (trend,) = summary["trends"]
    assert (trend["points"][-1]["gone"], trend["points"][-1]["not_read_again"]) == (0, 4)
