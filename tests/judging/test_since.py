"""Since: findings compared with those of an earlier result."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.judging.since import compare
from audit.model.result import Finding, Result
from audit.reading.files import FileBytes
from audit.reporting.json_report import render
from audit.run import Done, Order, run, run_whole
from tests.baselines import seal
from tests.site_builder import SiteOf
from tests.small_site import as_csv, as_planned, small_site
from tests.small_site import run as cli


def done(folder: Path, *nodes: dict[str, Any], unread: tuple[str, ...] = ()) -> Done:
    """Return a run over nodes planned alike: channel 7, high alarm 80. `unread` ones are planned too."""
    tags = [*(node["tag"] for node in nodes), *unread]
    planned = [{"tag": tag, "channel": 7, "alarm_high": 80} for tag in tags]
    found = [{"channel": 7, "alarm_high": 80, "default_refused": "yes"} | node for node in nodes]
    gateway = {"channel": 7}
    order = SiteOf(planned=planned, found=found, gateway=gateway,
                   gateway_found=gateway | {"default_refused": "yes"}).write(folder)  # fmt: skip
    return run_whole(Order(order.plan, order.readback, run_on="2026-03-31"))


def result(folder: Path, *nodes: dict[str, Any]) -> Result:
    """Return the result of such a run."""
    return done(folder, *nodes).result


EARLIER = FileBytes("earlier.json", Path("earlier.json"), b"", "digest")


def states(now: Done, before: Result) -> dict[str, str | None]:
    """Return the state of each finding, by its id; 'absent' if it is gone, 'not read' if nobody looked."""
    made = compare(now.result, before, EARLIER, now.site)
    assert made.since
    told = {f.id: f.since for f in made.findings} | {f.id: "absent" for f in made.since.absent}
    return told | {f.id: "not read" for f in made.since.not_read_again}


CHANNEL = "channel-differs/North/{}/channel"
ALARM = "alarm-off-plan/North/A/alarm_high"


def test_each_state(tmp_path: Path) -> None:
    """A finding that is new, one that stayed, one with another value, and one that is gone."""
    before = result(tmp_path / "1", {"tag": "A", "alarm_high": 70}, {"tag": "B", "channel": 9}, {"tag": "C"},
                    {"tag": "D", "channel": 12})  # fmt: skip
    now = done(tmp_path / "2", {"tag": "A", "alarm_high": 60}, {"tag": "B"}, {"tag": "C", "channel": 15},
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
    now = done(tmp_path / "2", {"tag": "X"}, {"tag": "B"}, {"tag": "A", "channel": 9})

    assert states(now, before) == {CHANNEL.format("A"): "unchanged"}


@pytest.mark.parametrize("field", ["level", "planned", "message"])
def test_what_counts_as_updated(field: str, tmp_path: Path) -> None:
    """A finding needs new attention if its level, values or words change."""
    now = done(tmp_path, {"tag": "A", "channel": 9})
    other = {"level": "note", "planned": "8", "message": "other words"}[field]
    (finding,) = now.result.findings
    before = now.result.model_copy(update={"findings": [finding.model_copy(update={field: other})]})

    assert states(now, before) == {finding.id: "updated"}


@pytest.mark.parametrize(
    ("message", "state"),
    [
        ("the channel set is 9, the planned one 7", "unchanged"),
        ("channel is 9, planned 7, for 3 days", "updated"),
    ],
)
def test_other_words_of_another_version_are_no_update(message: str, state: str, tmp_path: Path) -> None:
    """A new version of the rules may word a finding differently; only its numbers are compared then."""
    now = done(tmp_path, {"tag": "A", "channel": 9})
    (finding,) = now.result.findings
    (pack, *packs) = now.result.packs
    before = now.result.model_copy(
        update={
            "findings": [finding.model_copy(update={"message": message})],
            "packs": [pack.model_copy(update={"version": "0"}), *packs],
        }
    )

    assert states(now, before) == {finding.id: state}


def test_a_separator_that_another_version_did_not_write_is_no_update(tmp_path: Path) -> None:
    """From 1,000 on counts are easier to read with one."""
    made = done(tmp_path, {"tag": "A", "channel": 9})
    now, before = (
        made.result.model_copy(update={
            "findings": [one.model_copy(update={"message": message}) for one in made.result.findings],
            "packs": [pack.model_copy(update={"version": version}) for pack in made.result.packs],
        })
        for message, version in (("on 1,204 devices: 0.5 s", "2"), ("on 1204 devices: 0.5 s", "1"))
    )  # fmt: skip

    assert [*states(replace(made, result=now), before).values()] == ["unchanged"]


@pytest.fixture(scope="module")
def some(tmp_path_factory: pytest.TempPathFactory) -> Done:
    """Return a run with six findings."""
    return done(tmp_path_factory.mktemp("some"), *({"tag": f"N{n}", "channel": 20 - 3 * n} for n in range(6)))


@given(st.sets(st.integers(0, 5)), st.sets(st.integers(0, 5)))
def test_every_finding_is_told_once(some: Done, now: set[int], before: set[int]) -> None:
    """New, unchanged and absent findings together are those of both results, each once."""
    picked: list[Finding] = [f for f in some.result.findings if f.node]

    def only(which: set[int]) -> Result:
        return some.result.model_copy(update={"findings": [f for i, f in enumerate(picked) if i in which]})

    told = states(replace(some, result=only(now)), only(before))
    assert {name for name, state in told.items() if state == "new"} == {picked[i].id for i in now - before}
    assert {name for name, state in told.items() if state == "unchanged"} == {
        picked[i].id for i in now & before
    }
    assert {name for name, state in told.items() if state == "absent"} == {picked[i].id for i in before - now}


NAMED = {"tag": "A", "network": "North", "serial": "555001", "channel": 7, "alarm_high": 80}


@pytest.mark.parametrize(
    ("named", "found", "told"),
    [
        ({"tag": "A-2"}, 70, {"alarm-off-plan/North/A-2/alarm_high": "unchanged"}),
        ({"network": "North end"}, 70, {"alarm-off-plan/North end/A/alarm_high": "unchanged"}),
        ({"network": "North end"}, 60, {"alarm-off-plan/North end/A/alarm_high": "updated"}),
        ({"network": "North end"}, 80, {"alarm-off-plan/North end/A/alarm_high": "absent"}),
        ({"network": "North end"}, "", {"alarm-off-plan/North end/A/alarm_high": "not read"}),
        (
            {"network": "North end", "serial": "555002"},
            70,
            {"alarm-off-plan/North end/A/alarm_high": "new", ALARM: "absent"},
        ),
    ],
)
def test_a_new_name_of_a_device_or_its_network_ends_no_finding(
    named: dict[str, Any], found: Any, told: dict[str, str], tmp_path: Path
) -> None:
    """The device is known by its serial number; with another number it is another device."""

    def of(folder: str, node: dict[str, Any], alarm: Any) -> Done:
        answers = {"default_refused": "yes", "alarm_high": alarm}
        order = SiteOf(planned=[node], found=[node | answers], gateway={"channel": 7},
                       gateway_found={"channel": 7, "default_refused": "yes"})  # fmt: skip
        return run_whole(replace(order.write(tmp_path / folder), run_on="2026-03-31"))

    now = states(of("2", NAMED | named, found), of("1", NAMED, 70).result)
    assert {name: state for name, state in now.items() if name.startswith("alarm-off-plan")} == told


def test_a_number_that_stood_twice_gives_no_new_name(tmp_path: Path) -> None:
    """Both were TBC; A has left the plan, B has its own number now, and C is new and has none yet."""

    def of(folder: str, nodes: list[dict[str, Any]]) -> Done:
        nodes = [{"network": "North", "channel": 7, "alarm_high": 80} | node for node in nodes]
        found = [node | {"alarm_high": 70} for node in nodes]
        return run_whole(
            replace(SiteOf(planned=nodes, found=found).write(tmp_path / folder), run_on="2026-03-31")
        )

    before = of("1", [{"tag": "A", "serial": "TBC"}, {"tag": "B", "serial": "TBC"}]).result
    now = states(of("2", [{"tag": "B", "serial": "555002"}, {"tag": "C", "serial": "TBC"}]), before)

    assert now["alarm-off-plan/North/C/alarm_high"] == "new"


def test_what_was_not_read_again_is_not_no_more(tmp_path: Path) -> None:
    """The next stage reads other nodes, and of one only some settings: nothing is known of the rest."""
    before = result(tmp_path / "1", {"tag": "A", "alarm_high": 70}, {"tag": "B", "channel": 9}, {"tag": "C"})
    now = done(tmp_path / "2", {"tag": "A", "alarm_high": ""}, {"tag": "C"}, unread=("B",))

    told = states(now, before)
    assert told[ALARM] == "not read"
    assert told[CHANNEL.format("B")] == "not read"


@pytest.mark.parametrize(
    ("day", "shown", "state"),
    [("2026-03-03", 500, "absent"), ("2026-03-09", 500, "not read"), ("2026-03-09", 800, "not read")],
)
def test_numbers_that_are_not_side_by_side_now_are_not_no_more(
    day: str, shown: int, state: str, tmp_path: Path
) -> None:
    """The devices were read once more, and the host's values are of another day: they were not compared."""

    def order(folder: str, day: str, shown: int) -> Order:
        found = {"a.csv": [{"tag": tag, "reading": 500, "read_at": "2026-03-03"} for tag in "ABC"],
                 "b.csv": [{"tag": tag, "host_reading": shown, "read_at": day} for tag in "ABC"]}  # fmt: skip
        site = SiteOf(planned=[{"range_low": 0, "range_high": 1000}] * 3, found=found)
        return replace(site.write(tmp_path / folder), run_on="2026-03-31")

    earlier = tmp_path / "earlier.json"
    earlier.write_text(render(run(order("1", "2026-03-03", 800))), encoding="utf-8")
    since = run(replace(order("2", day, shown), since=earlier)).since

    assert since
    told = {one.rule: "absent" for one in since.absent} | {
        one.rule: "not read" for one in since.not_read_again
    }
    assert (told["host-reading-differs"], told["same-finding-on-many-nodes"]) == (state, state)


@pytest.mark.parametrize(
    ("tried", "state"), [("yes", "absent"), ("not tried", "not read"), ("", "not read")], ids=str
)
def test_a_factory_code_that_is_refused_now_is_gone(tried: str, state: str, tmp_path: Path) -> None:
    """It stood in an export; nobody need export the new one to show that it was changed."""
    before = result(tmp_path / "1", {"tag": "A", "access_code": "8205"})
    (factory,) = (f.id for f in before.findings if f.rule == "default-code-accepted")

    assert states(done(tmp_path / "2", {"tag": "A", "default_refused": tried}), before)[factory] == state


@pytest.mark.parametrize(("code", "state"), [("5093", "absent"), ("8205", "not read")], ids=["other", "same"])
def test_a_factory_code_that_was_accepted_is_gone_where_an_export_has_another(
    code: str, state: str, tmp_path: Path
) -> None:
    """Nobody need try the factory code once more."""
    before = result(tmp_path / "1", {"tag": "A", "default_refused": "no"})
    (accepted,) = (f.id for f in before.findings if f.rule == "default-code-accepted")

    now = done(tmp_path / "2", {"tag": "A", "default_refused": "", "access_code": code})

    assert states(now, before)[accepted] == state


@given(missing=st.sets(st.sampled_from(range(8)), min_size=3), read=st.sets(st.sampled_from(range(8))))
@settings(max_examples=15)
def test_what_is_missing_on_a_device_is_the_same_finding_when_some_of_it_is_read(
    missing: set[int], read: set[int]
) -> None:
    """Reading one of several settings makes nothing new: what is missing stays, with fewer settings."""
    planned = {"channel": 7, "air_rate": 50, "address": 3, "range_low": 0, "range_high": 100,
               "alarm_low": 10, "alarm_high": 90, "deadband": 2}  # fmt: skip
    names = list(planned)
    made = []
    with tempfile.TemporaryDirectory() as folder:
        for step, unread in enumerate((missing, missing - read)):
            row = planned | {names[n]: "" for n in unread} | {"default_refused": "yes"}
            own = {name: planned[name] for name in names[:2]}
            order = SiteOf(planned=planned, found=row, gateway=own).write(Path(folder, str(step)))
            made.append(run_whole(Order(order.plan, order.readback, run_on="2026-03-31")))

    before, now = made
    told = states(now, before.result)
    left = len(missing - read)
    much = "much-not-read/North/A"
    assert "new" not in told.values()
    assert told[much] == ("unchanged" if not missing & read else "updated" if left > 2 else
                          "not read" if left else "absent")  # fmt: skip


@pytest.mark.parametrize(
    ("off", "mended"),
    [
        ({"alarm_enabled": "off", "alarm_authorisation": ""}, {"alarm_enabled": "on"}),
        ({"alarm_enabled": "off", "alarm_authorisation": "AUT-8"}, {"alarm_enabled": "on"}),
        ({"offset": 1.5, "calibration_record": ""}, {"offset": 0}),
    ],
    ids=["no authorisation", "an authorisation without end", "no calibration record"],
)
@pytest.mark.parametrize("read", [True, False])
def test_an_alarm_that_is_on_again_and_a_trim_that_is_taken_back_need_no_record(
    off: dict[str, Any], mended: dict[str, Any], read: bool, tmp_path: Path
) -> None:
    """What would excuse them is blank then, and rightly so; but they themselves have to be read."""
    before = result(tmp_path / "1", {"tag": "A", **off})
    blanks = dict.fromkeys(off, "")
    now = done(tmp_path / "2", {"tag": "A", **blanks, **(mended if read else {})})

    (one,) = (f.id for f in before.findings if set(off) <= set(f.settings))
    assert states(now, before)[one] == ("absent" if read else "not read")


def test_a_plan_that_is_checked_alone_closes_nothing_that_was_read(tmp_path: Path) -> None:
    """Only another readback can show that what a readback found, or did not read, has been corrected."""
    before = done(tmp_path, {"tag": "A", "channel": 9}, unread=("B",)).result
    alone = run_whole(Order(tmp_path / "plan.yaml", run_on="2026-03-31"))

    assert set(states(alone, before).values()) == {"not read"}


@pytest.mark.parametrize("network", [{}, {"network": "North"}], ids=["anywhere", "in North"])
@pytest.mark.parametrize(("again", "told"), [("A", "not read"), ("AB", "absent")])
def test_a_stray_device_is_no_more_only_where_all_was_read_again(
    network: dict[str, str], again: str, told: str, tmp_path: Path
) -> None:
    """A device that is not in the plan is somewhere: nobody has looked for it where nothing was read."""
    found = [{"tag": tag, **network} for tag in "ABX"]
    site = SiteOf(planned=[{"tag": tag} for tag in "AB"], found=found).write(tmp_path / "1")
    before = run_whole(replace(site, run_on="2026-03-31")).result
    now = done(tmp_path / "2", *({"tag": tag} for tag in again), unread=tuple(set("AB") - set(again)))

    (stray,) = (finding.id for finding in before.findings if finding.rule == "unplanned-node")
    assert states(now, before)[stray] == told


def test_a_finding_about_several_devices_needs_all_of_them_read(tmp_path: Path) -> None:
    """Of two nodes on one address, one is read again as it was: the other may still be there."""
    pair = [{"tag": tag, "address": 31} for tag in "AB"]
    before = result(tmp_path / "1", *pair)
    now = done(tmp_path / "2", pair[0], unread=("B",))

    (shared,) = (f.id for f in before.findings if f.others)
    assert states(now, before)[shared] == "not read"


def test_a_finding_is_about_the_device_of_its_own_network(tmp_path: Path) -> None:
    """Two networks may each have a tag A: that the one was read again says nothing of the other."""
    planned = [{"tag": "A", "network": network, "channel": 7} for network in ("North", "South")]

    def found(folder: str, *rows: dict[str, Any]) -> Done:
        gateway = {"channel": 7}
        site = SiteOf(planned=planned, found=[planned[1], *rows], gateway=gateway).write(tmp_path / folder)
        return run_whole(replace(site, run_on="2026-03-31"))

    before = found("1", {**planned[0], "channel": 9}).result

    assert states(found("2"), before)["channel-differs/North/A/channel"] == "not read"
    assert states(found("3", planned[0]), before)["channel-differs/North/A/channel"] == "absent"


def test_a_result_of_drift_is_no_earlier_one_of_check(tmp_path: Path) -> None:
    """They have rules of their own, so all findings of one would be gone in the other."""
    site = small_site(tmp_path)
    file = tmp_path / "earlier.json"
    cli("drift", seal(site, "b.json"), *site.readbacks, "--quiet", "--out", file)

    with pytest.raises(InputProblems, match="is a result of drift, but this run is check"):
        run(Order(site.plan, site.readbacks, since=file))


def test_an_earlier_result_of_another_site_is_refused(tmp_path: Path) -> None:
    """The findings of another site would all be new, and all of its own gone."""
    file = tmp_path / "earlier.json"
    now = result(tmp_path / "1", {"tag": "A"})
    other = now.model_copy(update={"site": now.site.model_copy(update={"name": "Elsewhere"})})
    file.write_text(render(other), encoding="utf-8")

    with pytest.raises(InputProblems, match="is a result of 'Elsewhere'"):
        run(Order(tmp_path / "1" / "plan.yaml", since=file))


def test_a_result_of_a_later_day_is_no_earlier_one(tmp_path: Path) -> None:
    """Findings cannot be new since a day in the future."""
    file = tmp_path / "later.json"
    now = result(tmp_path / "1", {"tag": "A"})
    file.write_text(render(now.model_copy(update={"run_on": "2026-04-01"})), encoding="utf-8")

    with pytest.raises(InputProblems, match="is dated 2026-04-01, after 2026-03-31, the date of this run"):
        run(Order(tmp_path / "1" / "plan.yaml", run_on="2026-03-31", since=file))


# What the findings are held against


GONE_BY_PLAN = (
    "Not as in that result: {}. A finding may be gone because of that, without any work at a device"
)


def since_off_plan(folder: Path, *, now_found: str, now_planned: str) -> tuple[str, list[str], Path]:
    """Return text, closure and plan of a check of N-2, which was found at 870 with 780 planned before."""
    site = small_site(folder, found={"N-2": {"high_alarm": "870"}})
    earlier = folder / "earlier.json"
    site.check("--gate", "annual", "--quiet", "--out", earlier)
    site = small_site(folder, found={"N-2": {"high_alarm": now_found}})
    site.replace("high_alarm: 780", f"high_alarm: {now_planned}")
    outs = [folder / name for name in ("r.html", "r.md", "r.json")]
    options = ("--gate", "annual", "--since", earlier, "--width", "300")
    outcome = site.check(*options, *(word for out in outs for word in ("--out", out)))
    told = GONE_BY_PLAN.format(site.plan.as_posix())
    forms = [outcome.stdout, *(out.read_text("utf-8").replace("\\", "") for out in outs[:2])]
    assert len({told in form for form in forms}) == 1
    closed = [line for line in outcome.stdout.splitlines() if "Closure: alarm-off-plan" in line]
    return outcome.stdout, closed, site.plan


def test_a_plan_that_was_changed_to_what_was_found_closes_nothing_unseen(tmp_path: Path) -> None:
    """The finding is gone, but the device is as it was: what has changed is named in every form."""
    text, (closed,), plan = since_off_plan(tmp_path, now_found="870", now_planned="870")

    assert GONE_BY_PLAN.format(plan.as_posix()) in text
    assert "N-2/high_alarm: now 870 kPa as it was, " in closed


def test_a_device_that_was_set_as_planned_is_told_as_closed(tmp_path: Path) -> None:
    """The plan is that of the earlier result, and the reading is another."""
    text, (closed,), _ = since_off_plan(tmp_path, now_found="780", now_planned="780")

    assert "Not as in that result" not in text
    assert "N-2/high_alarm: now 780 kPa, " in closed


def test_a_plan_that_was_changed_is_not_told_where_nothing_is_gone(tmp_path: Path) -> None:
    """There is then nothing that it could have closed."""
    text, closed, _ = since_off_plan(tmp_path, now_found="870", now_planned="790")

    assert ("Not as in that result" in text, closed) == (False, [])


def test_files_that_were_only_moved_or_renamed_have_not_changed(tmp_path: Path) -> None:
    """They are known by their content."""
    before = result(tmp_path / "1", {"tag": "A", "alarm_high": 70})
    now = done(tmp_path / "2", {"tag": "A"})
    made = compare(now.result, before, EARLIER, now.site)

    assert made.since
    assert (len(made.since.absent), made.since.changed) == (1, [])


def test_rules_of_the_site_that_are_not_given_any_more_are_told(tmp_path: Path) -> None:
    """What they found is gone with them, though plan and readings are as they were."""
    site = small_site(tmp_path)
    rules = site.own_rules({"kind": "one-of", "roles": ["channel"], "values": [9]})
    earlier = tmp_path / "earlier.json"
    site.check("--rules", rules, "--quiet", "--out", earlier)
    renamed = site.write("renamed.yaml", rules.read_text(encoding="utf-8"))

    without = site.check("--since", earlier, "--width", "300").stdout
    still = site.check("--since", earlier, "--rules", renamed).stdout

    assert GONE_BY_PLAN.format(f"{rules.as_posix()} (not given now)") in without
    assert "Not as in that result" not in still


def test_our_rules_are_told_where_another_version_may_have_taken_a_finding_away(tmp_path: Path) -> None:
    """Only the packs in which a finding is gone, or all that have changed if its rule is in none of them."""
    before = result(tmp_path / "1", {"tag": "A", "alarm_high": 70})
    now = done(tmp_path / "2", {"tag": "A"})

    def told(*changed: str, **of_finding: str) -> list[str]:
        packs = [pack.model_copy(update={"sha256": "0" * 64}) if pack.pack in changed else pack
                 for pack in before.packs]  # fmt: skip
        findings = [one.model_copy(update=of_finding) for one in before.findings]
        then = before.model_copy(update={"packs": packs, "findings": findings})
        made = compare(now.result, then, EARLIER, now.site)
        assert made.since
        return made.since.changed

    assert told("alarms", "radio") == ["asfound's rules (alarms)"]
    assert told("alarms", "radio", rule="no-longer-there") == ["asfound's rules (alarms, radio)"]
    assert told("radio") == []


def of_new(folder: Path, of_then: Callable[[list[dict[str, Any]]], list[dict[str, Any]]], **now: Any) -> Any:
    """Return the rules of ours that make findings new; `of_then` changes the packs of the result before."""
    site, earlier = small_site(folder), folder / "earlier.json"
    site.check("--quiet", "--out", earlier)
    then = json.loads(earlier.read_text("utf-8"))
    earlier.write_text(json.dumps(then | {"packs": of_then(then["packs"])}), encoding="utf-8")
    rules = ("--rules", site.own_rules(now.pop("rule"))) if "rule" in now else ()
    data = small_site(folder, **now).result("--since", earlier, *rules)
    assert [finding["since"] for finding in data["findings"]] == ["new"] * len(data["findings"]) != []
    return data["since"]["rules_of_new"]


def test_a_finding_of_a_sites_own_rule_is_not_new_because_of_ours(tmp_path: Path) -> None:
    """All our packs have changed, but it is in none of them."""
    rule = {"kind": "one-of", "roles": ["address"], "values": [11, 12]}

    assert of_new(tmp_path, lambda packs: [pack | {"sha256": "0" * 64} for pack in packs], rule=rule) is None


def test_a_finding_may_be_new_because_a_pack_of_ours_is(tmp_path: Path) -> None:
    """The earlier version did not have the rules for alarms."""
    high = {"N-2": {"high_alarm": "870"}}

    told = of_new(tmp_path, lambda packs: [one for one in packs if one["pack"] != "alarms"], found=high)

    assert told == "asfound's rules (alarms)"


def test_our_rules_are_told_where_another_version_may_have_made_a_finding_new(tmp_path: Path) -> None:
    """A newer asfound finds more in the same readings; only the packs in which something is new are named."""
    site = small_site(tmp_path)
    earlier = tmp_path / "earlier.json"
    site.check("--quiet", "--out", earlier)
    site = small_site(tmp_path, found={"N-2": {"high_alarm": "870"}})

    def told(*changed: str) -> str:
        then = json.loads(earlier.read_text("utf-8"))
        then["packs"] = [
            {**pack, "sha256": "0" * 64} if pack["pack"] in changed else pack for pack in then["packs"]
        ]
        other = tmp_path / "other.json"
        other.write_text(json.dumps(then), encoding="utf-8")
        return site.check("--since", other, "--width", "300").stdout

    assert (
        "Not as in that result: asfound's rules (alarms). "
        "A finding may be new because of that, without any change at a device"
    ) in told("alarms", "radio")
    assert "Not as in that result" not in told("radio")


@pytest.mark.parametrize(
    ("left", "state"), [({"seal": "S-2"}, "not read"), ({"calibration_record": "K-2"}, "absent")], ids=str
)
def test_what_only_excuses_others_is_itself_to_be_read_again(
    left: dict[str, Any], state: str, tmp_path: Path
) -> None:
    """A finding about nothing but a record is not gone where the record was left blank."""
    before = result(tmp_path / "1", {"tag": "A", "offset": 1.5, "calibration_record": "none"})
    (finding,) = (f for f in before.findings if "calibration_record" in f.settings)
    of_record = finding.model_copy(update={"settings": ["calibration_record"]})
    now = done(tmp_path / "2", {"tag": "A", **left})

    assert states(now, before.model_copy(update={"findings": [of_record]}))[finding.id] == state


@pytest.mark.parametrize(
    ("now", "told"),
    [
        ({"read_at": "2026-03-25"}, "1 finding gone"),
        ({"read_at": "2026-03-10", "configured_at": "2026-03-05"}, "1 finding gone"),
        ({"read_at": "2026-03-10"}, "1 not read again"),
        ({"read_at": "2026-03-10 14:00"}, "1 not read again"),  # that day: perhaps the same reading
        ({}, "1 not read again"),
    ],
    ids=str,
)
def test_a_device_that_was_read_too_early_has_to_be_read_later(
    now: dict[str, str], told: str, tmp_path: Path
) -> None:
    """The same old sheet without the time at which it was set shows nothing; a corrected time does."""
    early = {"read_at": "2026-03-10", "configured_at": "2026-03-20"}
    rows = as_planned()
    site = small_site(tmp_path).read("found.csv", as_csv([{**row, **early} for row in rows[:1]] + rows[1:]))
    earlier = tmp_path / "earlier.json"
    site.check("--quiet", "--out", earlier)

    site.read("found.csv", as_csv([{**row, **now} for row in rows[:1]] + rows[1:]))

    assert told in site.check("--since", earlier).stdout
