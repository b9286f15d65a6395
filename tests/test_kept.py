"""Files that earlier versions wrote (tests/kept): every later version reads them rightly."""

from __future__ import annotations

import io
import json
import shutil
from pathlib import Path

import pytest

from tests.small_site import Outcome, run

KEPT = sorted(path for path in (Path(__file__).parent / "kept").iterdir() if path.is_dir())
CODE_KEY = "ab12cd34" * 8
"""The key of the code marks that are kept; it protects nothing."""


@pytest.fixture(params=KEPT, ids=lambda path: path.name)
def kept(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Return a copy of a folder of kept files, which may be added to."""
    return Path(shutil.copytree(request.param, tmp_path / "kept"))


def check(kept: Path, *words: str | Path) -> Outcome:
    """Check the kept readback against the kept plan, on a later day."""
    mapped = ("--mapping", kept / "mapping.yaml", "--on", "2026-04-20")
    return run("check", kept / "plan.yaml", kept / "readback.csv", *mapped, *words)


def drift(kept: Path, *words: str | Path) -> Outcome:
    """Compare the kept readback with the baseline that was sealed of it."""
    mapped = ("--mapping", kept / "mapping.yaml", "--on", "2026-04-20", "--plan", kept / "plan.yaml")
    return run("drift", kept / "first.json", kept / "readback.csv", *mapped, *words)


def test_plan_and_readback_give_the_same_verdict(kept: Path) -> None:
    """With a mapping, a waiver, and rules and a gate of the site."""
    outcome = check(kept, "--waivers", kept / "waivers.yaml", "--rules", kept / "site-rules.yaml",
                    "--gate", "start-up")  # fmt: skip

    assert outcome.code == 0, outcome.written
    assert "13 read as planned, 1 differs, 0 not read" in outcome.stdout
    assert "W-26-01  in use" in outcome.stdout


def test_nothing_is_new_since_a_result_but_by_newer_rules(kept: Path) -> None:
    """The readings are the same; a finding may be updated, as its words may."""
    new = kept / "new.json"
    outcome = check(kept, "--waivers", kept / "waivers.yaml", "--since", kept / "result.json", "--out", new)
    assert outcome.code in (0, 1), outcome.stderr

    result = json.loads(new.read_text("utf-8"))
    states = [finding["since"] for finding in result["findings"]]

    assert (result["since"]["absent"], result["since"]["not_read_again"]) == ([], [])
    assert "new" not in states or result["since"]["rules_of_new"]


def test_results_of_two_versions_are_summed_up(kept: Path) -> None:
    """One site, with two checks and a drift."""
    new = kept / "new.json"
    check(kept, "--out", new)

    outcome = run("summary", kept / "result.json", kept / "drift.json", new)

    assert outcome.code in (0, 1), outcome.stderr
    assert "Hillside (invented)" in outcome.stdout


def test_baselines_are_verified_byte_for_byte(kept: Path) -> None:
    """The second is signed."""
    both = (kept / "first.json", kept / "second.json")

    assert run("seal", "--verify", *both).code == 0
    trusted = run("seal", "--verify", kept / "second.json", "--trusted-key", kept / "public.pem")
    assert trusted.code == 0, trusted.written


def test_a_chain_of_baselines_goes_on(kept: Path) -> None:
    """A baseline of today follows one of then, and all are verified and told together."""
    chain = [kept / "first.json", kept / "second.json", kept / "third.json"]
    sealed = run("seal", kept / "plan.yaml", kept / "readback.csv", "--mapping", kept / "mapping.yaml",
                 "--even-failing", "--signed-by", "R. Sample", "--previous", chain[1], "--on", "2026-04-20",
                 "--out", chain[2])  # fmt: skip
    assert sealed.code == 0, sealed.stderr

    assert run("seal", "--verify", *chain).code == 0
    history = run("history", *chain)
    assert history.code == 0, history.stderr
    assert "\n  0 changes" in history.stdout


def test_what_was_sealed_has_not_drifted(kept: Path) -> None:
    """All settings are read as in the baseline, with change records given, and since a drift of then."""
    outcome = drift(kept, "--changes", kept / "changes.yaml", "--since", kept / "drift.json")

    assert outcome.code == 0, outcome.written
    assert "14 read as in the baseline, 0 differ, 0 not read" in outcome.stdout


def test_a_sample_is_judged_by(kept: Path) -> None:
    """Its lot is the plan's of today."""
    outcome = check(kept, "--sample", kept / "sample.json", "--waivers", kept / "waivers.yaml")

    assert outcome.code == 0, outcome.written
    assert "SAMPLE" in outcome.stdout


def test_code_marks_know_the_codes_again(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """None is added, and the days of the readings are kept."""
    monkeypatch.setenv("ASFOUND_CODE_KEY", CODE_KEY)
    marks = kept / "marks.json"
    before = json.loads(marks.read_text("utf-8"))

    outcome = run("check", kept / "plan.yaml", kept / "exported-codes.csv", "--on", "2027-04-20",
                  "--code-marks", marks)  # fmt: skip

    assert outcome.code in (0, 1), outcome.stderr
    assert json.loads(marks.read_text("utf-8")) == before


def test_typing_goes_on_in_a_file_of_then(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One node was typed then, another is now; both are checked."""
    monkeypatch.setattr("sys.stdin", io.StringIO("PT-32\n410032\n7\n1A07\n32\n780\n"))
    entries = kept / "entries.jsonl"
    before = entries.read_text("utf-8")

    entered = run("enter", kept / "plan.yaml", entries, "--by", "R. Sample")
    checked = run("check", kept / "plan.yaml", entries)

    assert entered.code == 0, entered.stderr
    assert entries.read_text("utf-8").startswith(before)
    assert "2 of 4 planned devices read back" in checked.stdout


def test_a_log_of_calls_still_counts(kept: Path) -> None:
    """A call of then is one of two when another is recorded."""
    outcome = run("why", "PT-32", kept / "plan.yaml", kept / "readback.csv", "--mapping",
                  kept / "mapping.yaml", "--record", "battery", "--log", kept / "calls.jsonl")  # fmt: skip

    assert outcome.code == 0, outcome.stderr
    assert "the log has 2 calls" in outcome.stdout
