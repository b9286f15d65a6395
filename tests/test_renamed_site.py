"""A site that was renamed: with its old name under `formerly` in the plan, its earlier files are its own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

from audit.model.result import Result
from tests.baselines import data_of, seal
from tests.exported_codes import site_with_codes
from tests.refusing import assert_clear
from tests.small_site import NAME, Outcome, SmallSite, as_csv, as_planned, run, small_site

NEW = "Great Site"
HINT = "if it was renamed, put its old name under `formerly` in the plan"


def renamed(site: SmallSite, *formerly: str) -> SmallSite:
    """Give a site its new name in the plan."""
    return site.replace(f"name: {NAME}", f"name: {NEW}, formerly: [{', '.join(formerly)}]")


def renamed_plan(site: SmallSite, name: str, *formerly: str) -> dict[str, Any]:
    """Return the plan of a site with another name."""
    data: dict[str, Any] = yaml.safe_load(site.plan.read_text(encoding="utf-8"))
    return data | {"site": {"name": name, "revision": "A", "formerly": list(formerly)}}


def result(site: SmallSite, name: str, *arguments: str | Path) -> Path:
    """Write a result of a site and return its path."""
    path = site.folder / name
    outcome = site.check("--quiet", "--out", path, *arguments)
    assert outcome.code in (0, 1), outcome.written
    return path


def refused(outcome: Outcome) -> None:
    """Assert that a command refuses a file of another site, and says what to do if it is the same one."""
    assert outcome.code == 2
    assert_clear(outcome.stderr)
    assert HINT in " ".join(outcome.stderr.split())


@pytest.fixture
def site(tmp_path: Path) -> SmallSite:
    """Return a site with a readback that names it."""
    return small_site(tmp_path, readback_rows=[{"site": NAME, **row} for row in as_planned()])


def test_a_readback_may_have_the_old_name(site: SmallSite) -> None:
    """The sheet was printed before; that of any other site is refused."""
    refused(renamed(site).check())
    assert site.replace("formerly: []", f"formerly: [Any, {NAME}]").check().code == 0


def test_an_earlier_result_is_compared_with(site: SmallSite) -> None:
    """Nothing is new because of the name."""
    site.read("found.csv", as_csv([row | {"channel": "8"} for row in as_planned()]))
    earlier = result(site, "earlier.json")
    refused(renamed(site).check("--since", earlier))
    site.replace("formerly: []", f"formerly: [{NAME}]")

    now = Result.model_validate_json(result(site, "now.json", "--since", earlier).read_text())

    assert now.since is not None
    assert (now.since.absent, now.since.not_read_again) == ([], [])
    assert {finding.since for finding in now.findings} == {"unchanged"}


def test_a_chain_of_baselines_goes_on(site: SmallSite, tmp_path: Path) -> None:
    """The next baseline follows the old one; it can be verified without the plan, and so can its history."""
    first = seal(site, "2026.json")
    renamed(site)
    arguments = (
        "--signed-by",
        "R. Sample",
        "--on",
        "2027-03-31",
        "--previous",
        first,
        "--out",
        tmp_path / "2027.json",
    )
    site.read("found.csv", as_csv(as_planned()))
    refused(run("seal", site.plan, *site.readbacks, *arguments))
    site.replace("formerly: []", f"formerly: [{NAME}]")

    sealed = run("seal", site.plan, *site.readbacks, *arguments)
    both = (first, tmp_path / "2027.json")

    assert sealed.code == 0, sealed.written
    assert data_of(both[1])["content"]["site"]["formerly"] == [NAME]
    assert run("seal", "--verify", *both).code == 0
    history = run("history", *both)
    assert (history.code, NEW in history.stdout) == (0, True)


def test_baselines_of_another_site_do_not_belong_to_the_chain(site: SmallSite, tmp_path: Path) -> None:
    """A name that no baseline knows is another site's."""
    first = seal(site, "2026.json")
    other = seal(
        small_site(tmp_path / "other").replace(f"name: {NAME}", f"name: {NEW}"), "2027.json", on="2027-03-31"
    )

    history = run("history", first, other)

    assert history.code == 2
    assert f"the baselines are of several sites: {NEW}, {NAME}" in history.stderr


def test_drift_since_a_baseline_under_the_old_name(site: SmallSite) -> None:
    """With the plan it is the site of the new name, and a readback may have either."""
    baseline = seal(site, "2026.json")
    renamed(site)
    refused(run("drift", baseline, *site.readbacks, "--plan", site.plan))
    site.replace("formerly: []", f"formerly: [{NAME}]")
    site.read(
        "found.csv",
        as_csv([{"site": name, **row} for name, row in zip((NEW, NAME) * 2, as_planned(), strict=True)]),
    )

    outcome = run("drift", baseline, *site.readbacks, "--plan", site.plan)

    assert outcome.code == 0, outcome.written
    assert outcome.stdout.startswith(f"PASS  {NEW}")


def test_a_sample_and_its_baseline(site: SmallSite, tmp_path: Path) -> None:
    """A sample may be drawn since a baseline of the old name, and one drawn before the renaming counts."""
    baseline, terms = seal(site, "2026.json"), ("--confidence", "60", "--defective", "60", "--seed", "1")
    assert run("sample", site.plan, *terms, "--out", tmp_path / "sample.json").code == 0
    renamed(site)
    refused(run("sample", site.plan, *terms, "--baseline", baseline))
    site.read("found.csv", as_csv(as_planned()))
    refused(site.check("--sample", tmp_path / "sample.json"))
    site.replace("formerly: []", f"formerly: [{NAME}]")

    assert run("sample", site.plan, *terms, "--baseline", baseline).code == 0
    assert site.check("--sample", tmp_path / "sample.json").code == 0


def test_a_summary_shows_one_site_with_its_trend(site: SmallSite) -> None:
    """Its results before and after are one course, under the new name."""
    before = result(site, "before.json", "--on", "2026-03-01")
    after = result(renamed(site, NAME), "after.json", "--on", "2026-04-01")

    summary = run("summary", before, after, "--format", "json")

    told = json.loads(summary.stdout)
    assert [line["site"] for line in told["sites"]] == [NEW]
    assert [(trend["site"], len(trend["points"])) for trend in told["trends"]] == [(NEW, 2)]


def test_two_sites_that_each_claim_the_others_name_end_no_summary(site: SmallSite, tmp_path: Path) -> None:
    """Which of them is meant cannot be known; the summary is made nevertheless."""
    one = result(renamed(site, NAME), "one.json")
    other = small_site(tmp_path / "other").replace(f"name: {NAME}", f"name: {NAME}, formerly: [{NEW}]")

    assert run("summary", one, result(other, "other.json")).code == 0


def test_a_new_site_under_the_old_name_is_a_site_of_its_own(site: SmallSite, tmp_path: Path) -> None:
    """It fails; the site that had its name before passes later, which says nothing of it."""
    before = result(site, "before.json", "--on", "2026-03-01")
    moved = result(renamed(site, NAME), "moved.json", "--on", "2026-04-01")
    other = small_site(tmp_path / "other", found={"N-2": {"channel": "8"}})
    fails = result(other, "fails.json", "--on", "2026-05-01")
    later = result(site, "later.json", "--on", "2026-06-01")

    summary = run("summary", before, moved, fails, later, "--format", "json")

    told = json.loads(summary.stdout)
    assert summary.code == 1
    assert [(line["site"], line["verdict"]) for line in told["sites"]] == [(NAME, "fail"), (NEW, "pass")]
    assert [(trend["site"], len(trend["points"])) for trend in told["trends"]] == [(NEW, 3)]


def test_two_sites_that_exchange_their_names_are_each_under_the_new_one(
    site: SmallSite, tmp_path: Path
) -> None:
    """The one that fails does so under both its names."""
    other = small_site(tmp_path / "other", found={"N-2": {"channel": "8"}})
    other.replace(f"name: {NAME}", f"name: {NEW}")
    then = [result(one, "then.json", "--on", "2026-03-01") for one in (site, other)]
    renamed(site, NAME)
    other.replace(f"name: {NEW}", f"name: {NAME}, formerly: [{NEW}]")
    now = [result(one, "now.json", "--on", "2026-04-01") for one in (site, other)]

    told = json.loads(run("summary", *then, *now, "--format", "json").stdout)

    assert [(line["site"], line["verdict"]) for line in told["sites"]] == [(NAME, "fail"), (NEW, "pass")]
    verdicts = {trend["site"]: [point["verdict"] for point in trend["points"]] for trend in told["trends"]}
    assert verdicts == {NAME: ["fail", "fail"], NEW: ["pass", "pass"]}


def test_a_site_that_gets_its_old_name_back_stays_one(site: SmallSite) -> None:
    """Whatever it was called in between."""
    first = result(site, "first.json", "--on", "2026-03-01")
    second = result(renamed(site, NAME), "second.json", "--on", "2026-04-01")
    site.replace(f"name: {NEW}, formerly: [{NAME}]", f"name: {NAME}, formerly: [{NEW}]")
    third = result(site, "third.json", "--on", "2026-05-01")

    told = json.loads(run("summary", third, second, first, "--format", "json").stdout)

    assert [(line["site"], line["run_on"]) for line in told["sites"]] == [(NAME, "2026-05-01")]
    assert [(trend["site"], len(trend["points"])) for trend in told["trends"]] == [(NAME, 3)]


def test_drift_without_a_plan_counts_under_the_new_name(site: SmallSite) -> None:
    """It only knows the name in the baseline, whenever it is run."""
    baseline, drift = seal(site, "2026.json"), site.folder / "drift.json"
    run("drift", baseline, *site.readbacks, "--on", "2026-06-01", "--quiet", "--out", drift)
    check = result(renamed(site, NAME), "check.json", "--on", "2026-05-01")

    told = json.loads(run("summary", drift, check, "--format", "json").stdout)

    assert [(line["site"], line["compared"]) for line in told["sites"]] == [(NEW, "baseline"), (NEW, "plan")]


def test_a_site_renamed_twice_has_one_history(site: SmallSite, tmp_path: Path) -> None:
    """Each plan gives the name before: the one in between joins the others."""
    paths = [seal(site, "2026.json")]
    site.read("found.csv", as_csv(as_planned()))
    for year, now, before in ((2027, NEW, NAME), (2028, "Greatest Site", NEW)):
        site.write("plan.yaml", renamed_plan(site, now, before))
        paths.append(seal(site, f"{year}.json", "--previous", paths[-1], on=f"{year}-03-31"))

    history = run("history", *paths)

    assert (history.code, "Greatest Site" in history.stdout) == (0, True), history.written
    assert run("history", paths[0], paths[2]).code == 2  # nothing says that it is the same site


@pytest.mark.parametrize("new", [NEW, "Zebra Site"])
def test_years_run_forwards_where_a_baseline_is_missing(new: str, site: SmallSite) -> None:
    """The new name may come before the old one in the alphabet; the newer baseline is still the later."""
    site.read("found.csv", as_csv(as_planned()))
    paths = [seal(site, "2026.json")]
    site.write("plan.yaml", renamed_plan(site, new, NAME))
    for year in (2027, 2028):
        paths.append(seal(site, f"{year}.json", "--previous", paths[-1], on=f"{year}-03-31"))

    history = run("history", paths[2], paths[0])

    assert f"HISTORY  {new}\n2 baselines, 2026-03-31 to 2028-03-31" in history.stdout
    assert "the chain is broken" in history.stdout


def test_drift_without_a_plan_asks_for_it_where_only_that_knows_the_new_name(site: SmallSite) -> None:
    """There is no plan whose name could be wrong."""
    baseline = seal(site, "2026.json")
    site.read("found.csv", as_csv([row | {"site": NEW} for row in as_planned()]))

    outcome = run("drift", baseline, *site.readbacks)

    assert outcome.code == 2
    assert f"is a readback of the site {NEW!r}, but the baseline is of {NAME!r}" in outcome.problems[0]
    assert outcome.problems[0].endswith(f"{HINT}, and give that (--plan)")


def test_a_call_under_the_old_name_is_one_of_the_same_node(site: SmallSite, tmp_path: Path) -> None:
    """Recorded twice, it would weigh twice."""
    asked: tuple[str | Path, ...] = (
        "why",
        "N-2",
        site.plan,
        *site.readbacks,
        "--log",
        tmp_path / "calls.jsonl",
    )
    run(*asked, "--record", "battery", "--on", "2026-03-31")
    renamed(site, NAME)

    again = run(*asked, "--record", "battery", "--on", "2026-04-01")

    assert "N-2 was recorded before, at 2026-03-31" in " ".join(again.stdout.split()), again.written


@pytest.mark.parametrize("new", [NEW, "Zebra Site"])
def test_a_code_read_under_both_names_keeps_its_first_day(new: str, tmp_path: Path) -> None:
    """The plan was told the old name only after a run under the new one."""
    site = site_with_codes(tmp_path, found={"N-1": {"access_code": "8068"}})
    (tmp_path / "keys").mkdir()
    key, marks = tmp_path / "keys/site.key", tmp_path / "marks.json"
    key.write_text("5f" * 32)
    given = ("--code-marks", marks, "--code-key", key)
    site.check(*given, "--on", "2026-03-31")
    site.write("plan.yaml", renamed_plan(site, new))
    site.check(*given, "--on", "2027-03-30")
    site.write("plan.yaml", renamed_plan(site, new, NAME))

    site.check(*given, "--on", "2027-03-31")

    (mark,) = json.loads(marks.read_text())["marks"]
    assert (mark["first_read_on"], mark["last_read_on"]) == ("2026-03-31", "2027-03-31")


def test_code_marks_from_before_are_those_of_the_same_devices(tmp_path: Path) -> None:
    """A device that still has its code shares it with no other site; it is still the one that it had."""
    site = site_with_codes(tmp_path, found={"N-1": {"access_code": "8068"}})
    (tmp_path / "keys").mkdir()
    key, marks = tmp_path / "keys/site.key", tmp_path / "marks.json"
    key.write_text("5f" * 32)
    given = ("--code-marks", marks, "--code-key", key, "--fail-on", "note")
    site.check(*given, "--on", "2026-03-31")

    outcome = renamed(site, NAME).check(*given, "--on", "2027-03-30")

    assert "rule: code-unchanged" in outcome.stdout
    assert "code-shared-elsewhere" not in outcome.stdout.partition("NOT CHECKED")[0]
    assert {mark["site"] for mark in json.loads(marks.read_text())["marks"]} == {NEW}
