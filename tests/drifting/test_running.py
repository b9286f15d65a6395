"""Drift as a whole: against itself, in any order, and on a fleet where each change gets its right case."""

from __future__ import annotations

import csv
import json
import random
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from audit.drifting.running import DriftOrder, run
from audit.model.readback import FIELDS
from audit.model.result import Result
from tests.baselines import seal
from tests.drift_fleet import CHANGES, RECORDED, SORTS, fleet_of, write
from tests.drifts import RUN_ON, SEALED_ON, drift, reported, result_of
from tests.small_site import DEFAULT_REFUSED, GATEWAY, SETTINGS, as_csv, as_planned, node, small_site

NAMES = ("channel", "address", "high_alarm", "range_high", "network_id")


def anything(chance: random.Random, rows: list[dict[str, str]]) -> list[dict[str, str]]:
    """Return a readback: values differ, are blank or unclear, types and networks differ, rows are missing."""
    found = [dict(row) for row in rows if chance.random() > 0.15]
    for row in found:
        for name in NAMES:
            if name in row and chance.random() < 0.3:
                row[name] = chance.choice(("", "12", "7.80 bar", "x", "0900", "-3"))
        if chance.random() < 0.2:
            row["read_at"] = "2026-03-30T10:00"
        if chance.random() < 0.1:
            row.update(chance.choice(({"type": "meter"}, {"network": "South"})))
    return found or rows[:1]


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10**6))
@example(seed=2133)  # three devices are under another network, as they were for the baseline
@example(seed=9317)  # nothing was read of the gateway, though it has a row
def test_drift_of_a_readback_against_itself_is_empty(
    seed: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever was read, none of it has drifted since that very readback was sealed."""
    chance = random.Random(seed)
    nodes = [node(n) for n in range(1, 7)]
    rows = anything(chance, as_planned(nodes))
    site = small_site(tmp_path_factory.mktemp("itself"), nodes=nodes, readback_rows=rows)
    baseline = seal(site, "b.json", "--even-failing", on=SEALED_ON)
    shuffled = chance.sample(rows, len(rows))
    site.read("again.csv", as_csv([dict(chance.sample(list(row.items()), len(row))) for row in shuffled]))

    result = run(DriftOrder(baseline=baseline, readback=site.readbacks, run_on=RUN_ON, patch=True))

    about_readings = {
        "evidence-predates-baseline",
        "reading-unclear",
        "unclear-alike",
        "node-gone",
        "device-difference-as-sealed",
        "much-not-read",
        "not-read-on-many-nodes",
    }
    stands_for_these = {f.caused_by for f in result.findings if f.rule in about_readings}
    others = [f for f in result.findings if f.rule not in about_readings and f.id not in stands_for_these]
    assert [f.rule for f in others] == []
    read = {row["tag"] for row in rows if any(text for name, text in row.items() if name not in FIELDS)}
    assert {f.node for f in result.findings if f.rule == "node-gone"} == (
        {row["tag"] for row in as_planned(nodes)} - read
    )
    assert result.counts.differing == 0
    assert result.drift is not None
    assert [op for op in result.drift.patch or () if op.op not in ("test", "remove")] == []


def test_a_blank_row_has_not_been_read_then_or_now(tmp_path: Path) -> None:
    """The name of whoever was to read it says nothing of the device."""
    site = small_site(tmp_path, readback_rows=[{"tag": "GW-1", "channel": "", "read_by": "B. Example"},
                                               *as_planned()[1:]])  # fmt: skip
    baseline = seal(site, "b.json", "--even-failing", on=SEALED_ON)

    result = run(DriftOrder(baseline=baseline, readback=site.readbacks, run_on=RUN_ON, patch=True))

    assert result.drift is not None
    assert [op for op in result.drift.patch or () if op.op not in ("test", "remove")] == []


def test_a_device_whose_row_is_blank_now_is_reported_with_its_row(tmp_path: Path) -> None:
    """It is in the readback; that nothing was read of it does not mean that it is gone."""
    baseline = seal(small_site(tmp_path / "a", readback_rows=as_planned()), "b.json", on=SEALED_ON)
    first, *others = as_planned()
    rows = [{"tag": first["tag"], "serial": first["serial"]}, *others]
    now = small_site(tmp_path / "b", readback_rows=rows)

    result = run(DriftOrder(baseline=baseline, readback=now.readbacks, run_on=RUN_ON))

    (gone,) = [finding for finding in result.findings if finding.rule == "node-gone"]
    assert (gone.node, gone.message) == (
        first["tag"], "is in the readback with no setting filled in",
    )  # fmt: skip


def test_a_device_whose_row_is_blank_again_has_still_not_been_read(tmp_path: Path) -> None:
    """The baseline has no setting of it to compare with; that does not make its blank row a reading."""
    first, *others = as_planned()
    rows = [{"tag": first["tag"], "serial": first["serial"]}, *others]
    site = small_site(tmp_path, readback_rows=rows)
    baseline = seal(site, "b.json", "--even-failing", on=SEALED_ON)

    result = run(DriftOrder(baseline=baseline, readback=site.readbacks, run_on=RUN_ON))

    (gone,) = [finding for finding in result.findings if finding.rule == "node-gone"]
    assert (gone.node, gone.message) == (first["tag"], "is in the readback with no setting filled in")
    assert (result.counts.devices_read, result.counts.devices) == (len(others), len(rows))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10**6))
def test_the_order_of_rows_never_matters(seed: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Rows and columns in another order give the same findings, except for the rows that they quote."""
    chance = random.Random(seed)
    folder = tmp_path_factory.mktemp("order")
    nodes = [node(n) for n in range(1, 7)]
    rows = anything(chance, as_planned(nodes))
    site = small_site(folder, nodes=nodes)
    baseline = seal(site, "b.json", on=SEALED_ON)

    def findings(rows: list[dict[str, str]]) -> list[tuple[Any, ...]]:
        site.read("now.csv", as_csv(rows))
        result = run(DriftOrder(baseline=baseline, readback=site.readbacks, run_on=RUN_ON))
        return [(f.id, f.level, f.planned, f.found, f.message, f.caused_by) for f in result.findings]

    shuffled = [dict(chance.sample(list(row.items()), len(row))) for row in chance.sample(rows, len(rows))]
    assert findings(rows) == findings(shuffled)


@pytest.mark.parametrize("seed", [1, 2])
def test_every_change_of_a_fleet_falls_into_its_class(seed: int, tmp_path: Path) -> None:
    """Among 5,000 nodes with 200 changes of 12 sorts, 90 on record, exactly these are reported, rightly."""
    fleet = fleet_of(seed)
    assert (len(SORTS), CHANGES, len(fleet.records)) == (12, 200, RECORDED)

    result = run(write(fleet, tmp_path))

    roots = {"same-drift-on-many-nodes", "same-finding-on-many-nodes"}
    told_now = Counter((f.rule, f.node, f.setting) for f in result.findings if f.rule not in roots)
    assert told_now == Counter(fleet.expected)
    _check_levels(result)
    exchanges = {f.id for f in result.findings if f.rule == "unit-exchanged"}
    recorded = {f.node for f in result.findings if f.rule == "device-change-recorded"}
    for finding in (f for f in result.findings if f.setting == "range_low"):
        assert (finding.caused_by in exchanges) == (finding.node not in recorded), (
            "a record covers the unit alone"
        )


def _check_levels(result: Result) -> None:
    """Unexplained drift is an error, a change that the plan has too a warning, one on record a note."""
    levels: dict[str, set[str]] = defaultdict(set)
    for finding in result.findings:
        levels[finding.level].add(finding.rule)
    assert {"drift-unexplained", "all-three-differ", "node-gone", "node-added"} <= levels["error"]
    assert {"change-pending", "change-without-record", "record-differs"} <= levels["warning"]
    assert {"drift-recorded", "device-change-recorded", "corrected-since-baseline"} <= levels["note"]
    assert result.verdict == "fail"


@pytest.mark.parametrize("gateway", ["GW-01", "GW-001"])
def test_devices_are_told_in_the_order_of_the_numbers_in_their_tags(gateway: str, tmp_path: Path) -> None:
    """1b comes before 10, whether or not all tags of the network have as many characters."""
    nodes = [{**node(n), "tag": tag} for n, tag in enumerate(("LT-10", "LT-1b"), 1)]
    now = {"LT-10": {"high_alarm": "760"}, "LT-1b": {"high_alarm": "765"}}

    result = result_of(tmp_path, nodes=nodes, gateway={**GATEWAY, "tag": gateway}, now=now)

    assert [finding.node for finding in result.findings] == ["LT-1b", "LT-10"]


def waivers_until(expires: str, folder: Path, **changes: str) -> Path:
    """Write a register with a waiver of a high alarm of 760 for the node N-2, and return its path."""
    path = folder / "waivers.json"
    one = {"id": "W-1", "rule": "alarm-off-plan", "node": "N-2", "setting": "high_alarm", "value": "760",
           "reason": "agreed", "owner": "O. Example", "approver": "A. Sample", "issued": "2026-03-01",
           "expires": expires} | changes  # fmt: skip
    path.write_text(json.dumps({"asfound": "waivers/1", "waivers": [one]}), encoding="utf-8")
    return path


UNTIL = [("2026-09-30", "of another command", []), ("2026-05-31", "expired", ["waiver-expired"])]


@pytest.mark.parametrize(("expires", "state", "rules"), UNTIL)
def test_one_register_of_waivers_serves_both_commands(
    expires: str, state: str, rules: list[str], tmp_path: Path
) -> None:
    """A waiver for a rule of check is no fault in drift; once expired it is a fault in both."""
    excused = {"N-2": {"high_alarm": "760"}}
    result = result_of(
        tmp_path / "s", "--waivers", waivers_until(expires, tmp_path), then=excused, now=excused
    )

    assert [waiver.state for waiver in result.waivers] == [state]
    assert [finding.rule for finding in result.findings] == rules


@pytest.mark.parametrize("left", [{}, {"nodes": [node(1)]}], ids=["corrected", "retired"])
def test_a_waiver_of_check_that_outlived_its_difference_is_to_be_closed_and_fails_nothing(
    left: dict[str, Any], tmp_path: Path
) -> None:
    """Its value is no longer found, so nobody has to answer for it; check says the same."""
    result = result_of(tmp_path / "s", "--waivers", waivers_until("2026-05-31", tmp_path), **left)

    assert [waiver.state for waiver in result.waivers] == ["expired, nothing left"]
    assert [(finding.rule, finding.level) for finding in result.findings] == [("waiver-unused", "note")]


@pytest.mark.parametrize(
    ("excused", "now"),
    [
        ({"rule": "alarm-outside-range", "value": "high_alarm 1200 kPa, range_high 1000 kPa"},
         {"now": {"N-2": {"high_alarm": "1200"}}}),
        ({"node": "N-9"}, {"more": [{**as_planned([node(9)])[-1], "high_alarm": "760"}]}),
    ],
    ids=["a value among others", "a device that came since"],
)  # fmt: skip
def test_an_expired_waiver_of_check_is_not_to_be_closed_on_what_drift_cannot_tell(
    excused: dict[str, str], now: dict[str, Any], tmp_path: Path
) -> None:
    """Nothing here shows that its difference is gone, and check still reports it."""
    waivers = waivers_until("2026-05-31", tmp_path, **excused)

    assert [one.state for one in result_of(tmp_path / "s", "--waivers", waivers, **now).waivers] == [
        "expired"
    ]


@pytest.mark.parametrize(("expires", "state", "rules"), UNTIL)
def test_a_difference_that_was_sealed_names_its_waiver_and_the_plans_register_is_read(
    expires: str, state: str, rules: list[str], tmp_path: Path
) -> None:
    """Nothing has changed since; the plan's register shows whether somebody still answers for it."""
    waivers = waivers_until(expires, tmp_path)
    site = small_site(tmp_path, found={"N-2": {"high_alarm": "760"}}, plan_extra={"waivers": [waivers.name]})
    baseline = seal(site, "b.json", on=SEALED_ON)

    order = DriftOrder(baseline=baseline, readback=site.readbacks, plan=site.plan, run_on=RUN_ON)
    result = run(order)

    assert [waiver.state for waiver in result.waivers] == [state]
    assert [finding.rule for finding in result.findings] == [*rules, "difference-as-sealed"]
    about = [finding.message for finding in result.findings if finding.rule == "waiver-expired"]
    told = "the high_alarm that it excused is still there: if `asfound check` reports it, correct it"
    assert all(told in message for message in about)
    assert result.findings[-1].message.endswith("and still is; it was sealed under waiver W-1")


def test_a_waiver_excuses_drift_as_it_does_a_difference(tmp_path: Path) -> None:
    """It names the rule, the node, the setting and the exact value."""
    waivers = tmp_path / "waivers.json"
    waivers.write_text(json.dumps({"asfound": "waivers/1", "waivers": [
        {"id": "W-1", "rule": "drift-unexplained", "node": "N-2", "setting": "high_alarm", "value": "760",
         "reason": "Trial.", "owner": "A", "approver": "B", "issued": "2026-05-01", "expires": "2026-12-01"},
    ]}))  # fmt: skip

    result = result_of(tmp_path, "--waivers", waivers, now={"N-2": {"high_alarm": "760"}})

    assert [(f.rule, f.waived is not None) for f in result.findings] == [("drift-unexplained", True)]
    assert result.verdict == "pass"


CODES = {"settings": [*SETTINGS, DEFAULT_REFUSED, {"name": "code_changed_on", "kind": "text",
                                                   "role": "code_changed_on"}]}  # fmt: skip


def test_a_code_that_was_changed_and_a_trial_that_was_made_are_no_drift(tmp_path: Path) -> None:
    """The plan asks for both, every year."""
    result = result_of(tmp_path, **CODES,
                       then={"N-1": {"default_refused": "not tried", "code_changed_on": "2025-02-20"}},
                       now={"N-1": {"default_refused": "yes", "code_changed_on": "2026-06-20"}})  # fmt: skip

    assert reported(result) == []


def test_no_record_excuses_a_factory_code(tmp_path: Path) -> None:
    """Nobody can approve the outcome of a trial."""
    record = {"node": "N-1", "setting": "default_refused", "from": "yes", "to": "no"}
    result = result_of(tmp_path, **CODES, changes=[record], then={"N-1": {"default_refused": "yes"}},
                       now={"N-1": {"default_refused": "no"}})  # fmt: skip

    (finding,) = [f for f in result.findings if f.level == "error"]
    assert (finding.rule, finding.node) == ("default-code-accepted", "N-1")


def test_gates_and_levels_hold_for_drift(tmp_path: Path) -> None:
    """--fail-on and another gate decide the exit code, as for check."""
    pending: dict[str, Any] = {"plan": {"N-2": {"high_alarm": 760}}}

    assert drift(tmp_path / "a", **pending).code == 0
    assert drift(tmp_path / "b", "--fail-on", "warning", **pending).code == 1
    assert drift(tmp_path / "c", "--gate", "annual", **pending).code == 0
    assert "unknown gate" in drift(tmp_path / "d", "--gate", "drfit", **pending).stderr


def test_a_value_that_elsewhere_means_not_read_was_read_for_the_baseline(tmp_path: Path) -> None:
    """The mapping of both readbacks says that NA is the identity of a network, as the plan has it."""
    site = small_site(tmp_path, gateway={**GATEWAY, "settings": {"channel": 7, "network_id": "NA"}})
    of_all = {"files": ["*.csv"], "blanks": ["?"]}
    mapping = site.write("m.yaml", {"asfound": "mapping/1", "mappings": [of_all]})
    baseline = seal(site, "b.json", "--mapping", mapping, on=SEALED_ON)
    site.read("now.csv", (tmp_path / "found.csv").read_text().replace("NA", "NB"))

    result = run(DriftOrder(baseline=baseline, readback=site.readbacks, mapping=mapping, run_on=RUN_ON))

    (cause,) = [finding for finding in result.findings if finding.caused_by is None]
    assert (cause.node, cause.setting, cause.planned, cause.found) == ("GW-1", "network_id", "NA", "NB")


def test_the_readback_may_be_of_any_form(tmp_path: Path) -> None:
    """A readback with a row a setting, and a decimal comma declared in a mapping, is no drift."""
    site = small_site(tmp_path)
    baseline = seal(site, "b.json", on=SEALED_ON)
    rows = list(csv.DictReader((tmp_path / "found.csv").read_text().splitlines()))
    names = ("channel", "network_id", "address", "range_low", "range_high", "high_alarm")
    texts = [(row["tag"], name, row[name] + (",0" if name == "high_alarm" else "")) for row in rows
             for name in names if row[name]]  # fmt: skip
    long = [dict(zip(("tag", "setting", "value"), text, strict=True)) for text in texts]
    found = site.write("long.csv", as_csv(long, ";"))
    mapping = site.write("m.yaml", {"asfound": "mapping/1", "mappings": [
        {"files": ["long.csv"], "delimiter": ";", "decimal": ",", "form": "long"}]})  # fmt: skip

    result = run(DriftOrder(baseline=baseline, readback=[found], mapping=mapping, run_on=RUN_ON))

    assert reported(result) == []
    assert result.counts.verified == 20
