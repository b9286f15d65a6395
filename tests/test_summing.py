"""Summing up: several results become one summary."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from audit.model.result import Result, Since
from audit.model.summary import Summary
from audit.read_results import ReadResult
from audit.run import Order, run
from audit.summing import sum_up
from tests.site_builder import SiteOf

DRIFT = SimpleNamespace(plan="plan.yaml")
"""What else it holds does not matter here."""


def result(
    folder: Path, site: str = "One", run_on: str = "2026-01-31", channels: tuple[int, ...] = (7, 7)
) -> ReadResult:
    """Return the result of a site with nodes found on certain channels; 7 is planned."""
    nodes = [{"tag": f"N{n}", "channel": 7} for n in range(len(channels))]
    found = [{**node, "channel": channel, "default_refused": "yes"} for node, channel in
             zip(nodes, channels, strict=True)]  # fmt: skip
    gateway = {"channel": 7}
    order = SiteOf(planned=nodes, found=found, gateway=gateway,
                   gateway_found={**gateway, "default_refused": "yes"}).write(folder)  # fmt: skip
    made = run(Order(order.plan, order.readback, run_on=run_on))
    made = made.model_copy(update={"site": made.site.model_copy(update={"name": site})})
    return ReadResult(made, f"{site}-{run_on}.json", f"digest of {site} {run_on} {channels}")


@pytest.fixture
def several(tmp_path: Path) -> list[ReadResult]:
    """Return three results of one site that gets better, and one of a site that fails."""
    return [
        result(tmp_path / "a", run_on="2024-01-31", channels=(8, 10)),
        result(tmp_path / "b", run_on="2025-01-31", channels=(8, 7)),
        result(tmp_path / "c", run_on="2026-01-31"),
        result(tmp_path / "d", site="Two", channels=(7, 10)),
    ]


def test_a_finding_on_many_devices_is_counted_under_its_own_rule(tmp_path: Path) -> None:
    """Codes left on many devices and nodes not heard are two causes, however similar their wording."""
    nodes = [{"tag": f"N{n}", "channel": 7} for n in range(3)]
    order = SiteOf(planned=nodes, found=[{**node, "default_refused": "no"} for node in nodes]).write(tmp_path)
    summary = sum_up([ReadResult(run(order), "a.json", "digest")])

    line = next(line for line in summary.causes if line.rule == "default-code-accepted")
    assert (line.causes, line.dependents, line.title) == (1, 3, "Factory access code is still accepted")


def test_sites_as_bad_as_each_other_stand_as_people_count(tmp_path: Path) -> None:
    """Site 9 stands before site 10, in each table."""
    read = [
        result(tmp_path / f"{number}{run_on}", site=f"Site {number}", run_on=run_on, channels=(8, 7))
        for number in (10, 9)
        for run_on in ("2025-01-31", "2026-01-31")
    ]
    summary = sum_up(read)

    assert [line.site for line in summary.sites] == ["Site 9", "Site 10"]
    assert [line.site for line in summary.trends] == ["Site 9", "Site 10"]
    assert summary.causes[0].sites == ["Site 9", "Site 10"]


def test_each_site_counts_by_its_latest_result(several: list[ReadResult]) -> None:
    """A site that was corrected passes; one site that fails fails the summary."""
    summary = sum_up(several)

    assert [(line.site, line.verdict, line.run_on) for line in summary.sites] == [
        ("Two", "fail", "2026-01-31"),
        ("One", "pass", "2026-01-31"),
    ]
    assert summary.verdict == "fail"
    assert sum_up(several[:3]).verdict == "pass"


def test_a_plan_checked_alone_does_not_show_that_anything_is_corrected(tmp_path: Path) -> None:
    """Nothing was read; the previous result, with its faults, stays the site's latest."""
    read = result(tmp_path / "a", run_on="2025-01-31", channels=(8, 7))
    alone = result(tmp_path / "b", run_on="2026-01-31")
    counts = alone.result.counts.model_copy(update={"devices_read": 0})
    later = replace(alone, result=alone.result.model_copy(update={"counts": counts}))
    summary = sum_up([read, later])

    assert (summary.verdict, summary.sites[0].run_on, summary.trends) == ("fail", "2025-01-31", [])
    assert [used.counted for used in summary.results] == [True, False]
    assert sum_up([later]).verdict == "pass"


@pytest.mark.parametrize(("verdict", "latest"), [("fail", "2026-01-31"), ("pass", "2025-01-31")])
def test_a_blank_readback_counts_if_it_fails(verdict: str, latest: str, tmp_path: Path) -> None:
    """A failed result is not passed over for an older one that passes; a blank pass proves nothing."""
    read = result(tmp_path / "a", run_on="2025-01-31")
    blank = result(tmp_path / "b", run_on="2026-01-31")
    counts = blank.result.counts.model_copy(update={"devices_read": 0})
    said = blank.result.model_copy(update={"counts": counts, "verdict": verdict})
    summary = sum_up([read, replace(blank, result=said)])

    assert (summary.verdict, summary.sites[0].run_on) == (verdict, latest)


def test_a_plan_checked_alone_that_fails_does_not_count_either(tmp_path: Path) -> None:
    """Without a readback, the result says nothing about the site."""
    read = result(tmp_path / "a", run_on="2025-01-31")
    alone = result(tmp_path / "b", run_on="2026-01-31")
    counts = alone.result.counts.model_copy(update={"devices_read": 0})
    said = alone.result.model_copy(update={"counts": counts, "verdict": "fail", "inputs": []})

    assert sum_up([read, replace(alone, result=said)]).verdict == "pass"


def test_drift_that_finds_nothing_does_not_pass_a_site_that_fails(tmp_path: Path) -> None:
    """No drift on the same day only says that the site is as bad as it was when it was sealed."""
    fails = result(tmp_path / "a", channels=(8, 7))
    good = result(tmp_path / "b")
    drift = good.result.model_copy(update={"drift": DRIFT})
    same = replace(good, result=drift, sha256="digest of drift")
    for given in ([fails, same], [same, fails]):
        summary = sum_up(given)
        assert (summary.verdict, summary.failing, summary.names) == ("fail", {"One"}, {"One"})
        assert [(line.compared, line.verdict) for line in summary.sites] == [
            ("plan", "fail"), ("baseline", "pass"),
        ]  # fmt: skip
    assert summary.trends == []


def test_the_worst_site_comes_first(tmp_path: Path) -> None:
    """Failing before passing, then by errors, then by name."""
    results = [
        result(tmp_path / "a", "Fine"),
        result(tmp_path / "b", "Bad", channels=(8, 7)),
        result(tmp_path / "c", "Worse", channels=(8, 10)),
        result(tmp_path / "d", "Also bad", channels=(8, 7)),
    ]

    assert [line.site for line in sum_up(results).sites] == ["Worse", "Also bad", "Bad", "Fine"]


def test_causes_are_counted_over_the_latest_results(several: list[ReadResult]) -> None:
    """Earlier results and follow-on findings do not count, and each rule is listed once."""
    (line,) = sum_up(several).causes

    assert (line.rule, line.causes, line.sites, line.level) == ("channel-differs", 1, ["Two"], "error")
    assert line.title == "Channel differs from the gateway's"


def test_commonest_causes_come_first(tmp_path: Path) -> None:
    """By causes, then by sites."""
    two_sites = [result(tmp_path / name, name, channels=(8, 7)) for name in "AB"]
    summary = sum_up([*two_sites, result(tmp_path / "c", "C", channels=(9, 7))])

    assert [(line.rule, line.causes, line.sites) for line in summary.causes] == [
        ("channel-differs", 3, ["A", "B", "C"])
    ]


def test_waived_causes_do_not_count(several: list[ReadResult]) -> None:
    """A waived cause is not one that anybody has to act on."""
    read = several[3]
    finding = read.result.findings[0]
    waived = {"waiver": "W", "reason": "R", "compensating_measure": None, "owner": "O", "approver": "A",
              "expires": "2027-01-31"}  # fmt: skip
    excused = type(finding).model_validate(finding.model_dump() | {"waived": waived})
    changed = read.result.model_copy(update={"findings": [excused]})

    assert sum_up([ReadResult(changed, read.file, read.sha256)]).causes == []


def test_a_site_with_several_results_has_a_trend(several: list[ReadResult]) -> None:
    """Oldest first, with the findings that are new and gone from each to the next."""
    (trend,) = sum_up(several).trends

    assert trend.site == "One"
    assert [(p.run_on, p.verdict, p.errors, p.new, p.gone) for p in trend.points] == [
        ("2024-01-31", "fail", 2, None, None),
        ("2025-01-31", "fail", 1, 0, 1),
        ("2026-01-31", "pass", 0, 0, 1),
    ]


def test_a_new_name_of_a_network_ends_no_finding_and_begins_none(tmp_path: Path) -> None:
    """A device that has another network or tag in the next result is known by its serial number."""
    results = []
    for year, network in ((2025, "North"), (2026, "North end")):
        node = {"tag": "N1", "network": network, "serial": "555001", "channel": 7}
        site = SiteOf(planned=[node], found=[{**node, "channel": 9}], gateway={"channel": 7})
        made = run(replace(site.write(tmp_path / network), run_on=f"{year}-01-31"))
        of_node = [finding for finding in made.findings if finding.rule == "channel-differs"]
        assert len(of_node) == 1
        results.append(ReadResult(made.model_copy(update={"findings": of_node}), f"{year}.json", f"{year}"))

    (trend,) = sum_up(results).trends

    assert [(point.new, point.gone, point.not_read_again) for point in trend.points[1:]] == [(0, 0, 0)]


KEPT = ("channel-differs", "node-not-read", "setting-not-read", "serial-duplicate")


def of_year(year: int, serials: dict[str, str], channels: dict[str, Any], folder: Path) -> ReadResult:
    """Return a result about the channels of nodes, by tag; 7 is planned. A node without one was not read."""
    nodes = [{"tag": tag, "serial": serial, "channel": 7} for tag, serial in serials.items()]
    rows = [{**node, "channel": channels[node["tag"]]} for node in nodes if node["tag"] in channels]
    order = SiteOf(planned=nodes, found=rows, gateway={"channel": 7}).write(folder / f"{year}")
    made = run(replace(order, run_on=f"{year}-01-31"))
    kept = [finding for finding in made.findings if finding.rule in KEPT]
    return ReadResult(made.model_copy(update={"findings": kept}), f"{year}.json", f"{year}")


@pytest.mark.parametrize(
    ("channels", "expected"),
    [
        ({"A": 7, "C": 9}, (0, 0, 0)),
        ({"A": 7, "C": 7}, (0, 1, 0)),
        ({"A": 7}, (1, 0, 1)),
        ({"A": 7, "C": ""}, (1, 0, 1)),
    ],
)
def test_what_a_unit_had_is_gone_only_where_it_was_read(
    channels: dict[str, Any], expected: tuple[int, int, int], tmp_path: Path
) -> None:
    """The unit that was called B is now called C."""
    before = of_year(2025, {"A": "555001", "B": "555002"}, {"A": 7, "B": 9}, tmp_path)
    after = of_year(2026, {"A": "555001", "C": "555002"}, channels, tmp_path)

    (point,) = sum_up([before, after]).trends[0].points[1:]

    assert (point.new, point.gone, point.not_read_again) == expected


def test_a_serial_number_planned_twice_identifies_no_unit(tmp_path: Path) -> None:
    """Until serial numbers are known, a plan has TBC for all."""
    serials = {"A": "TBC", "B": "TBC"}
    before = of_year(2025, serials, {"A": 9, "B": 7}, tmp_path)
    after = of_year(2026, serials, {"A": 7, "B": 9}, tmp_path)

    (point,) = sum_up([before, after]).trends[0].points[1:]

    assert (point.new, point.gone, point.not_read_again) == (1, 1, 0)


def test_what_a_result_itself_says_of_the_previous_one_counts(tmp_path: Path) -> None:
    """Two units are now planned in each other's place; no finding is gone, instead of minus one."""
    before = of_year(2025, {"A": "555001", "B": "555002"}, {"A": 9, "B": 7}, tmp_path)
    after = of_year(2026, {"A": "555002", "B": "555001"}, {"B": 9}, tmp_path)
    (old,) = before.result.findings
    since = Since(file="2025.json", sha256="2025", run_on="2025-01-31", absent=[], not_read_again=[old])
    marked = [finding.model_copy(update={"since": "new"}) for finding in after.result.findings]
    after = replace(after, result=after.result.model_copy(update={"since": since, "findings": marked}))

    (point,) = sum_up([before, after]).trends[0].points[1:]

    assert (point.new, point.gone, point.not_read_again) == (2, 0, 1)


def test_of_two_results_of_one_date_the_worse_counts_and_the_summary_says_so(tmp_path: Path) -> None:
    """Nothing shows which result is the afternoon's; the order of file names decides nothing."""
    before, after = result(tmp_path / "a", channels=(8, 7)), result(tmp_path / "b")
    before = replace(before, file="before.json")
    for given in ([before, after], [after, before]):
        (line,) = sum_up(given).sites
        assert (line.verdict, line.tied) == ("fail", [after.file])
        assert (
            "2 results of one day, and nothing says which is later; the worse counts (before.json)"
            in line.tie
        )


def test_of_two_results_of_one_date_the_one_compared_with_the_other_is_later(tmp_path: Path) -> None:
    """`--since` the morning's result shows that this one is the afternoon's, whether better or worse."""
    bad, good = result(tmp_path / "a", channels=(8, 7)), result(tmp_path / "b")
    for first, second in ((bad, good), (good, bad)):
        since = Since(file=first.file, sha256=first.sha256, run_on=first.result.run_on, absent=[])
        later = replace(second, result=second.result.model_copy(update={"since": since}))
        for given in ([first, later], [later, first]):
            (line,) = sum_up(given).sites
            assert (line.verdict, line.tie) == (second.result.verdict, "")


def test_what_was_not_read_is_not_gone(tmp_path: Path) -> None:
    """Half a round must not look as if the other half were corrected; a compared result says so itself."""
    before = result(tmp_path / "a", run_on="2026-01-30", channels=(8, 10))
    after = result(tmp_path / "b")
    unread = before.result.findings[0].model_copy(update={"id": "u", "rule": "node-not-read", "settings": []})
    half = replace(after, result=after.result.model_copy(update={"findings": [unread]}))
    gone, unseen = before.result.findings
    since = Since(
        file=before.file, sha256=before.sha256, run_on="2026-01-30", absent=[gone], not_read_again=[unseen]
    )
    compared = replace(after, result=after.result.model_copy(update={"since": since}))

    for later, expected in ((after, (2, 0)), (half, (1, 1)), (compared, (1, 1))):
        point = sum_up([before, later]).trends[0].points[1]
        assert (point.gone, point.not_read_again) == expected


def at_gate(read: ReadResult, gate: str) -> ReadResult:
    """Return a result as if it were from another gate."""
    result = read.result.model_copy(update={"gate": read.result.gate.model_copy(update={"id": gate})})
    return replace(read, result=result, sha256=f"{read.sha256} {gate}")


def test_a_pass_at_one_gate_does_not_hide_a_failure_at_another(tmp_path: Path) -> None:
    """Gates judge different things; what two of them found is one cause."""
    audit = at_gate(result(tmp_path / "a", run_on="2026-01-30", channels=(8, 7)), "annual")
    handover = result(tmp_path / "b")
    summary = sum_up([audit, handover])

    assert [(line.gate, line.verdict) for line in summary.sites] == [("annual", "fail"), ("handover", "pass")]
    assert (summary.verdict, summary.failing, summary.trends) == ("fail", {"One"}, [])
    assert [line.causes for line in sum_up([audit, at_gate(audit, "handover")]).causes] == [1]


def test_a_plan_checked_alone_at_another_gate_does_not_count_either(tmp_path: Path) -> None:
    """Nothing was read at that gate, and the site was read at another."""
    alone = result(tmp_path / "a")
    counts = alone.result.counts.model_copy(update={"devices_read": 0})
    alone = replace(alone, result=alone.result.model_copy(update={"counts": counts}))
    audit = at_gate(result(tmp_path / "b", run_on="2026-01-30"), "annual")

    assert [line.gate for line in sum_up([alone, audit]).sites] == ["annual"]


def test_a_result_given_twice_counts_once(tmp_path: Path) -> None:
    """A folder and a file in it on one command line do not make a trend."""
    one = result(tmp_path)
    summary = sum_up([one, one])

    assert (len(summary.results), summary.trends) == (1, [])


def test_dates_decide_whatever_the_order(several: list[ReadResult]) -> None:
    """Results of different dates give the same sites, causes and trends in any order."""

    def content(summary: Summary) -> object:
        return summary.verdict, summary.sites, summary.causes, summary.trends

    shuffled = random.Random(1).sample(several, len(several))
    assert content(sum_up(shuffled)) == content(sum_up(several))


def test_counts_agree_with_the_results(several: list[ReadResult]) -> None:
    """A line of a site repeats what its result says."""
    by_site = {line.site: line for line in sum_up(several).sites}
    expected: Result = several[3].result

    line = by_site["Two"]
    assert (line.errors, line.devices, line.root_causes) == (
        expected.counts.errors,
        expected.counts.devices,
        expected.counts.root_causes,
    )
    assert line.not_checked == len(expected.not_checked)
