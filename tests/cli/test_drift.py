"""`asfound drift`: what it prints and writes, and what it refuses."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import jsonpatch
import pytest

from audit.model.result import Result
from audit.reporting.formats import DRIFT_FORMATS
from tests.baselines import data_of, forged, seal
from tests.drifts import drift
from tests.entry_lines import as_lines, entry
from tests.refusing import assert_clear
from tests.small_site import SETTINGS, Outcome, run, small_site
from tests.test_waiving import waiver

CHANGED: dict[str, Any] = {
    "now": {"N-1": {"high_alarm": "760"}, "N-2": {"high_alarm": "765"}, "N-3": {"serial": "555001"}},
    "changes": [{"node": "N-2", "setting": "high_alarm", "from": 780, "to": 765, "work_order": "WO-5521"}],
    "plan": {},
}


def flat(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


def test_the_report_says_what_is_compared_with_what(tmp_path: Path) -> None:
    """Verdict, baseline with its date and signatory, plan, findings and records, in terms of a baseline."""
    outcome = drift(tmp_path, "--color", "never", **CHANGED)

    text = flat(outcome.stdout)
    assert outcome.code == 1
    assert outcome.stdout.startswith("FAIL  Little Site")
    assert "sealed on 2026-03-31 by R. Sample (not signed with a key, verdict PASS)" in text
    assert "settings of the baseline:" in text
    assert "high_alarm is 760 kPa, the baseline has 780 kPa" in text
    assert "work order WO-5521" in text
    assert "CHANGE RECORDS" in text
    assert "borne out" in text
    assert "planned settings" not in text


def test_devices_of_a_blank_readback_are_not_called_planned(tmp_path: Path) -> None:
    """They are those of the baseline."""
    unread = dict.fromkeys(("channel", "network_id", *(setting["name"] for setting in SETTINGS)), "")
    outcome = drift(tmp_path, gone=("GW-1", "N-1", "N-2"), now={"N-3": unread})

    assert "the readback is blank: 4 devices, none read back" in outcome.stdout


@pytest.mark.parametrize("width", [40, 80, 200])
def test_no_line_is_wider_than_asked_for(tmp_path: Path, width: int) -> None:
    """Apart from digests and file names, which are not broken."""
    lines = drift(tmp_path, "--width", str(width), **CHANGED).stdout.splitlines()
    words = [line for line in lines if "/" not in line and not any(len(w) > 30 for w in line.split())]

    assert max(map(len, words)) <= max(width, 80)


def test_nothing_has_changed(tmp_path: Path) -> None:
    """Exit code 0; what was not checked is listed with what it needs."""
    outcome = drift(tmp_path)

    assert outcome.code == 0
    assert outcome.stdout.startswith("PASS")
    assert "needs a plan (--plan): all-three-differ, change-without-record, change-pending" in flat(
        outcome.stdout
    )
    assert "needs change records (--changes): drift-recorded" in flat(outcome.stdout)


@pytest.mark.parametrize("form", DRIFT_FORMATS, ids=lambda form: form.name)
def test_every_format_is_written(tmp_path: Path, form: Any) -> None:
    """By its ending; each says what has changed."""
    out = tmp_path / f"out{form.endings[0]}"

    outcome = drift(tmp_path, "--quiet", "--out", out, **CHANGED)

    assert (outcome.code, outcome.stdout) == (1, "")
    if form.name != "punch-xlsx":
        text = out.read_text(encoding="utf-8")
        assert "760" in text
        assert ("in the baseline" in text) == (form.name != "json-patch")


@pytest.mark.parametrize("end", ["txt", "html", "md"])
def test_every_change_record_is_listed_for_people(end: str, tmp_path: Path) -> None:
    """A record from before the baseline explains no finding, but an auditor sees that it was given."""
    out = tmp_path / f"r.{end}"
    changes = [{"node": "N-2", "setting": "high_alarm", "to": 765, "date": "2025-01-01"}]

    drift(tmp_path, "--quiet", "--width", "120", "--out", out, changes=changes)

    text = out.read_text(encoding="utf-8")
    at = text.index("C-1", text.casefold().index("change records"))
    assert "before the baseline" in text[at - 50 : at + 200]


def test_in_text_a_change_record_says_what_changed_and_what_became_of_it(tmp_path: Path) -> None:
    """A sentence each; years of records from before the baseline take one line together."""
    changes = [
        {"node": "N-2", "setting": "high_alarm", "to": 765, "date": "2025-01-01"},
        {"node": "N-1", "setting": "high_alarm", "to": 770, "date": "2025-01-02"},
        {"node": "N-1", "setting": "high_alarm", "from": 780, "to": 760, "date": "2026-05-01"},
    ]

    text = drift(tmp_path, "--width", "120", changes=changes).stdout

    listed = text[text.index("CHANGE RECORDS") : text.index("NETWORK BY NETWORK")].splitlines()[1:-1]
    assert listed == [
        "  - C-3 of 2026-05-01, high_alarm on N-1, from 780 to 760: not borne out",
        "  - before the baseline: C-1, C-2",
    ]


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    """Every format, twice."""
    for form in DRIFT_FORMATS:
        names = [f"{n}{form.endings[0]}" for n in (1, 2)]
        for name in names:
            (tmp_path / form.name).mkdir(exist_ok=True)
            folder = tmp_path / form.name / "site"
            if not folder.exists():
                folder.mkdir()
                drift(folder, **CHANGED)
            arguments: list[str | Path] = [
                folder / "then" / "baseline.json",
                folder / "found.csv",
                "--on",
                "2026-06-30",
            ]
            run("drift", *arguments, "--quiet", "--out", folder / name)
        first, second = ((folder / name).read_bytes() for name in names)
        assert first == second


def test_the_punch_list_has_the_baseline_for_a_heading(tmp_path: Path) -> None:
    """So that nobody mistakes what was found last year for what is planned."""
    out = tmp_path / "punch.csv"
    drift(tmp_path, "--quiet", "--out", out, **CHANGED)

    heads = next(csv.reader(out.read_text(encoding="utf-8-sig").splitlines()))

    assert "baseline" in heads
    assert "planned" not in heads


def test_only_drift_makes_a_patch(tmp_path: Path) -> None:
    """A check has no baseline, so it does not know the format."""
    site = small_site(tmp_path)

    outcome = site.check("--out", tmp_path / "x.jsonpatch")

    assert outcome.code == 2
    assert "no format is known" in outcome.stderr


def test_the_patch_is_printed_too(tmp_path: Path) -> None:
    """For a program that takes it on, without a file in between."""
    printed = json.loads(drift(tmp_path, "--format", "json-patch", **CHANGED).stdout)

    assert {
        "op": "replace",
        "path": "/content/devices/Main/N-1/settings/high_alarm",
        "value": "760",
    } in printed


def test_the_patch_stands_in_a_result_only_where_it_is_asked_for(tmp_path: Path) -> None:
    """A JSON result written together with a patch does not contain the patch."""
    out, patch = tmp_path / "r.json", tmp_path / "r.patch.json"

    drift(tmp_path, "--quiet", "--out", out, "--out", patch, **CHANGED)

    result = Result.model_validate_json(out.read_text(encoding="utf-8"))
    assert result.drift is not None
    assert result.drift.patch is None
    baseline = data_of(tmp_path / "then" / "baseline.json")
    patched = jsonpatch.apply_patch(baseline, json.loads(patch.read_text()))
    assert patched["content"]["devices"]["Main"]["N-3"]["serial"] == "555001"


def refused(outcome: Outcome, says: str) -> None:
    """Assert that a run is refused in clear words."""
    assert outcome.code == 2, outcome.written
    assert outcome.stdout == ""
    assert says in outcome.stderr
    assert_clear(outcome.stderr)


def test_an_altered_baseline_is_refused(tmp_path: Path) -> None:
    """No verdict is based on it, and the message says where to look."""
    site = small_site(tmp_path)
    path = seal(site, "b.json")
    path.write_text(path.read_text().replace('"high_alarm":"780"', '"high_alarm":"790"', 1))

    outcome = run("drift", path, *site.readbacks)

    refused(outcome, "was altered after it was sealed")
    assert "asfound seal --verify" in outcome.stderr


def test_a_forged_baseline_with_a_network_without_a_gateway_is_refused(tmp_path: Path) -> None:
    """None was ever sealed, and a node takes its radio settings from its gateway."""
    site = small_site(tmp_path)
    path = seal(site, "b.json")
    data = data_of(path)
    data["content"]["devices"]["Main"]["GW-1"]["type"] = "node"

    outcome = run("drift", forged(path, data), *site.readbacks, "--plan", site.plan)

    refused(outcome, "is not as it was sealed: a network has no gateway")


def test_a_baseline_of_a_day_after_the_run_is_refused(tmp_path: Path) -> None:
    """Nothing can have changed since a day that is still to come; on that very day it can."""
    site = small_site(tmp_path)
    baseline = seal(site, "b.json", on="2026-04-02")

    outcome = run("drift", baseline, *site.readbacks, "--on", "2026-04-01")

    refused(outcome, "was sealed on 2026-04-02, after 2026-04-01, the day of this run")
    assert run("drift", baseline, *site.readbacks, "--on", "2026-04-02").code == 0


def test_files_in_the_wrong_place(tmp_path: Path) -> None:
    """A plan for a baseline, a baseline of another site's readback, a plan of another site."""
    site = small_site(tmp_path)
    baseline = seal(site, "b.json")
    other = small_site(tmp_path / "other").replace("Little Site", "Other Site")
    stranger = site.write("stranger.csv", "tag,serial,channel\nZ-1,1,7\n")

    refused(run("drift", site.plan, *site.readbacks), "is not a baseline")
    refused(run("drift", tmp_path / "none.json", *site.readbacks), "there is no such file")
    refused(run("drift", tmp_path, baseline), "name first a file that `asfound seal` has written")
    refused(
        run("drift", baseline, site.plan, *site.readbacks),
        "give it before the readback (`drift`: with --plan)",
    )
    refused(run("drift", baseline, *site.readbacks, "--plan", other.plan), "is a plan of 'Other Site'")
    refused(run("drift", baseline, *site.readbacks, "--plan", baseline), "")
    refused(run("drift", baseline, stranger), "the device read is not known at")
    refused(run("drift", baseline, tmp_path / "none.csv"), "there is no such file")


def test_no_file_that_was_read_is_written_over(tmp_path: Path) -> None:
    """Least of all the baseline."""
    site = small_site(tmp_path)
    baseline = seal(site, "b.json")
    before = baseline.read_bytes()

    outcome = run("drift", baseline, *site.readbacks, "--quiet", "--out", baseline)

    refused(outcome, "one of the files that were read")
    assert baseline.read_bytes() == before


def test_since_an_earlier_drift(tmp_path: Path) -> None:
    """What is new since an earlier result is marked, as for check."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": "760"}})
    baseline = seal(small_site(tmp_path / "then"), "b.json")
    earlier = tmp_path / "earlier.json"
    run("drift", baseline, *site.readbacks, "--quiet", "--out", earlier)
    small_site(tmp_path, found={"N-2": {"high_alarm": "765"}})

    outcome = run("drift", baseline, *site.readbacks, "--since", earlier)

    assert "(new)" in outcome.stdout
    assert "gone: Main N-1" in outcome.stdout


def test_since_a_drift_from_another_baseline_closes_nothing(tmp_path: Path) -> None:
    """An unexplained alarm was sealed: it is no longer drift, but it is not corrected either."""
    changed = {"N-1": {"high_alarm": "760"}}
    site = small_site(tmp_path, found=changed)
    old = seal(small_site(tmp_path / "then"), "old.json", on="2026-01-01")
    new = seal(site, "new.json", "--even-failing", on="2026-02-01")
    earlier, out = (
        tmp_path / "earlier.json",
        [tmp_path / f"r.{end}" for end in ("json", "html", "md", "sarif")],
    )
    run("drift", old, *site.readbacks, "--quiet", "--out", earlier, "--on", "2026-02-01")

    now: list[str | Path] = [
        "drift",
        new,
        *site.readbacks,
        "--since",
        earlier,
        "--on",
        "2026-03-01",
        "--gate",
        "annual",
    ]
    text = flat(run(*now, *(word for path in out for word in ("--out", path))).stdout)

    told = "what is gone may merely be part of the newer baseline"
    assert f"sealed on 2026-02-01: {told}" in text
    assert "Nothing in it counts as closed." in text
    assert all(told in path.read_text(encoding="utf-8") for path in out[:3])
    assert '"absent"' not in out[3].read_text(encoding="utf-8")
    trend = run("summary", earlier, out[0], "--format", "json").stdout
    assert json.loads(trend)["trends"] == []  # of two gates
    run("drift", new, *site.readbacks, "--on", "2026-03-01", "--quiet", "--out", out[0])
    (course,) = json.loads(run("summary", earlier, out[0], "--format", "json").stdout)["trends"]
    assert [(point["new"], point["gone"]) for point in course["points"]] == [(None, None)] * 2


def test_texts_of_strangers_cannot_write_into_the_report(tmp_path: Path) -> None:
    """Control characters in a record, a tag or a serial number are escaped, in every format."""
    evil = {"tag": "N-9\x1b[31m", "serial": '"><script>', "network": "Main", "channel": "7"}
    change = {"what": "added", "node": "N-8\x1b[2J", "approved_by": "<b>I</b>\x07"}
    for form in DRIFT_FORMATS:
        folder = tmp_path / form.name
        folder.mkdir()
        out = folder / f"x{form.endings[0]}"
        outcome = drift(folder, "--out", out, more=[evil], changes=[change])
        assert "\x1b" not in outcome.stdout
        data = out.read_bytes()
        assert b"\x1b" not in data or form.name == "punch-xlsx"
        assert b'"><script>' not in data or form.name not in ("html", "junit", "markdown")


def test_a_torn_record_of_entries_is_warned_of(tmp_path: Path) -> None:
    """As in `check`: what was left out of a file of entries is reported, and the rest is used."""
    site = small_site(tmp_path)
    baseline = seal(site, "baseline.json")
    entries = site.folder / "typed.jsonl"
    entries.write_bytes(as_lines(entry("N-1", "channel", "7")).encode() + b'{"asfound":"entry/1","ta')
    outcome = run("drift", baseline, entries, "--on", "2026-04-20")

    assert "warning: a torn record" in outcome.stderr


def test_a_column_that_only_the_plan_may_know_is_refused_with_that_hint(tmp_path: Path) -> None:
    """Ignoring it would lose the settings of a new device type."""
    now: dict[str, Any] = {"now": {"N-2": {"damping": "2.0"}}}

    alone, with_plan = drift(tmp_path / "a", **now), drift(tmp_path / "b", **now, plan={})

    assert "in a mapping, or give the plan that has it (--plan); known: tag" in alone.stderr
    assert "unknown column 'damping'" in with_plan.stderr
    assert "--plan" not in with_plan.stderr


def test_a_waived_setting_that_only_the_plan_may_know_is_refused_with_that_hint(tmp_path: Path) -> None:
    """A waiver of a setting that devices got after the baseline was sealed."""
    waivers = tmp_path / "waivers.json"
    of_new = waiver(node="N-1", setting="damping", value="2.0")
    waivers.write_text(json.dumps({"asfound": "waivers/1", "waivers": [of_new]}), encoding="utf-8")

    alone = drift(tmp_path / "a", "--waivers", waivers)
    with_plan = drift(tmp_path / "b", "--waivers", waivers, plan={})

    assert "unknown setting 'damping'" in alone.stderr
    assert ", or give the plan that has it (--plan)" in alone.stderr
    assert "unknown setting 'damping'" in with_plan.stderr
    assert "--plan" not in with_plan.stderr
