"""asfound summary: files and folders of results, formats, exit codes, and what it refuses."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path, PurePath

import pytest
from jsonschema import Draft202012Validator

from audit.resources import schema_text
from tests.cli.sites import ROOT, with_a_finding
from tests.small_site import run, small_site


@pytest.fixture
def results(tmp_path: Path) -> Path:
    """Return a folder with the result of a failing run and that of a passing one a month later."""
    folder = tmp_path / "results"
    folder.mkdir()
    with_a_finding(tmp_path / "a").check("--quiet", "--on", "2026-02-28", "--out", folder / "1.json")
    small_site(tmp_path / "b").check("--quiet", "--out", folder / "2.json")
    return folder


def test_a_folder_of_results(results: Path) -> None:
    """The verdict is that of the latest result, and the trend is shown."""
    outcome = run("summary", results)

    assert outcome.code == 0
    assert outcome.stdout.startswith(
        "PASS  0 of 1 site failing\nfrom 2 results, runs of 2026-02-28 to 2026-03-31"
    )
    assert "TREND of" in outcome.stdout
    assert "SITES, each by its latest result" in outcome.stdout


def test_a_pass_that_site_rules_have_softened_says_so(tmp_path: Path) -> None:
    """The levels that were lowered are listed under the sites, in the text and on the page."""
    site = with_a_finding(tmp_path)
    rules = site.write("own.yaml", {"asfound": "site-rules/1", "title": "T", "version": "1",
                                    "levels": {"channel-differs": "note"}})  # fmt: skip
    site.check("--quiet", "--rules", rules, "--out", tmp_path / "1.json")
    outcome = run("summary", tmp_path / "1.json", "--width", "300", "--out", tmp_path / "s.html")

    told = "handover: Site rules lower 1 level: channel-differs error → note ("
    assert outcome.code == 0
    assert told in outcome.stdout
    assert told in (tmp_path / "s.html").read_text(encoding="utf-8")


def test_sarif_in_the_folder_is_no_result(results: Path) -> None:
    """A folder that also holds the other reports is read without complaint."""
    (results / "1.sarif.json").write_text("{}", encoding="utf-8")

    assert run("summary", results).code == 0


def test_other_files_of_ours_in_the_folder_are_passed_over(results: Path) -> None:
    """A folder of records may also hold work lists and baselines; one that is named itself is refused."""
    site = with_a_finding(results.parent / "c")
    run("worklist", site.plan, *site.readbacks, "--quiet", "--out", results / "work.json")
    alone = run("summary", results)

    assert (alone.code, alone.stderr) == (0, f"{results.as_posix()}/work.json: skipped, a work list\n")
    named = run("summary", results / "work.json")
    assert named.code == 2
    assert "work.json: is a work list of asfound, but a result was expected" in named.stderr


@pytest.mark.parametrize("name", ["._1.json", "~$1.json", ".1.json.0f3a", ".~lock.1.json#"])
def test_what_other_programs_leave_in_the_folder_is_passed_over(results: Path, name: str) -> None:
    """Nobody sees these files, and none is a result."""
    (results / name).write_bytes(b"\x00\x05\x16\x07")

    outcome = run("summary", results)
    assert (outcome.code, outcome.stderr) == (0, "")


def test_a_result_that_was_not_fetched_is_missed(results: Path) -> None:
    """It may be the latest; file managers show it as a file."""
    (results / ".3.json.icloud").write_bytes(b"")

    outcome = run("summary", results)
    assert outcome.code == 2
    assert "3.json: is not on this disk" in outcome.stderr


def test_a_mark_that_was_left_beside_its_file_is_no_further_result(results: Path) -> None:
    """The file is there, and is read once."""
    (results / ".2.json.icloud").write_bytes(b"")

    assert run("summary", results).stdout.startswith("PASS  0 of 1 site failing\nfrom 2 results")


def test_capital_letters_in_the_ending_make_no_difference(results: Path) -> None:
    """Left out, the latest result would not count."""
    (results / "2.json").rename(results / "2.JSON")

    assert run("summary", results).stdout.startswith("PASS  0 of 1 site failing\nfrom 2 results")


@pytest.mark.parametrize(("name", "told"), [("3.json", True), ("._3.json", False), ("photo.jpg", False)])
def test_a_folder_in_the_folder_is_told(results: Path, name: str, told: bool) -> None:
    """Nothing in it counts until it is named too, so nobody should think that it did."""
    (results / "2025.json").mkdir()
    (results / "2025.json" / name).write_bytes((results / "1.json").read_bytes())

    outcome = run("summary", results)
    skipped = f"{results.as_posix()}/2025.json: skipped, a folder in a folder; to read it, name it too\n"
    assert (outcome.code, outcome.stderr) == (0, skipped if told else "")


def test_a_failing_site_fails(results: Path) -> None:
    """The exit code is 1 where the latest result of a site fails; its causes are listed."""
    outcome = run("summary", results / "1.json")

    assert outcome.code == 1
    assert "channel-differs" in outcome.stdout
    assert "TREND" not in outcome.stdout


def test_the_summary_in_json_fits_its_schema(results: Path) -> None:
    """What is written validates against the published schema of summaries."""
    run("summary", results, "--quiet", "--out", results.parent / "summary.json")

    written = json.loads((results.parent / "summary.json").read_text(encoding="utf-8"))
    Draft202012Validator(json.loads(schema_text("summary"))).validate(written)
    assert list(written)[:2] == ["schema", "verdict"]


def test_quiet_prints_nothing(results: Path) -> None:
    """With --quiet only the exit code gives the verdict."""
    outcome = run("summary", results / "1.json", "--quiet")

    assert (outcome.code, outcome.stdout, outcome.stderr) == (1, "", "")


def test_all_files_that_cannot_be_used_are_told_at_once(results: Path) -> None:
    """A missing file, one that is not a result, a damaged one: each with its remedy, and no verdict."""
    (results / "3.json").write_text('{"runs": []}', encoding="utf-8")
    (results / "4.json").write_text("[1, ", encoding="utf-8")
    damaged = json.loads((results / "1.json").read_text(encoding="utf-8"))
    del damaged["counts"]
    (results / "5.json").write_text(json.dumps(damaged), encoding="utf-8")
    outcome = run("summary", results, results / "6.json")

    assert outcome.code == 2
    assert "3.json: is not a result of asfound" in outcome.stderr
    assert "4.json:1" in outcome.stderr
    assert "5.json: is damaged at /counts" in outcome.stderr
    assert "6.json: there is no such file" in outcome.stderr
    assert outcome.stdout == ""


@pytest.mark.skipif(os.name != "posix", reason="Windows has no pipes among files")
@pytest.mark.parametrize("command", ["summary", "history"])
def test_a_pipe_in_the_folder_is_told_and_not_waited_for(command: str, tmp_path: Path) -> None:
    """Nobody may ever write into it."""
    os.mkfifo(tmp_path / "r.json")

    outcome = subprocess.run([sys.executable, "-m", "audit", command, tmp_path], timeout=60, cwd=ROOT,
                             capture_output=True, check=False, encoding="utf-8")  # fmt: skip

    assert (outcome.returncode, outcome.stdout) == (2, "")
    assert "r.json: is not an ordinary file" in outcome.stderr


def test_results_are_listed_in_one_order_on_every_system(
    results: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows paths sort regardless of capitals."""

    def as_on_windows(one: PurePath, other: PurePath) -> bool:
        return str(one).lower() < str(other).lower()

    (results / "1.json").rename(results / "a.json")
    (results / "2.json").rename(results / "B.json")
    monkeypatch.setattr(PurePath, "__lt__", as_on_windows)
    run("summary", results, "--quiet", "--out", results.parent / "s.json")

    summary = json.loads((results.parent / "s.json").read_text(encoding="utf-8"))
    assert [Path(one["file"]).name for one in summary["results"]] == ["B.json", "a.json"]


def test_a_folder_without_results_is_refused(tmp_path: Path) -> None:
    """An empty folder is a mistake, not a pass."""
    outcome = run("summary", tmp_path)

    assert outcome.code == 2
    assert "has no results" in outcome.stderr


def test_a_result_is_not_overwritten(results: Path) -> None:
    """The summary cannot take the place of a result that it was made from."""
    before = (results / "1.json").read_bytes()
    outcome = run("summary", results, "--out", results / "1.json")

    assert outcome.code == 2
    assert "it is one of the files that were read" in outcome.stderr
    assert (results / "1.json").read_bytes() == before


@pytest.mark.parametrize("width", [40, 80, 160])
def test_tables_fit_the_width(results: Path, width: int) -> None:
    """Lines stay within the columns, except for file names and digests."""
    lines = run("summary", results, "--width", str(width)).stdout.split("RESULTS")[0].splitlines()

    assert max(map(len, lines)) <= max(width, 76)
