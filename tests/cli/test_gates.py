"""What fails a run: gates, site levels, --fail-on; and the date in the report."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from audit.cli import running
from tests.baselines import try_to_seal
from tests.cli.sites import with_a_finding, with_a_warning
from tests.small_site import run, small_site


@pytest.mark.parametrize(("fail_on", "code"), [("error", 0), ("warning", 1), ("note", 1)])
def test_fail_on_is_the_lowest_level_that_fails(tmp_path: Path, fail_on: str, code: int) -> None:
    """A warning passes where errors fail, and fails where warnings do."""
    assert with_a_warning(tmp_path).check("--fail-on", fail_on).code == code


def test_a_warning_passes_the_handover(tmp_path: Path) -> None:
    """Without --fail-on the gate decides; the handover gate fails on errors."""
    outcome = with_a_warning(tmp_path).check()

    assert outcome.code == 0
    assert "1 warning" in outcome.stdout


@pytest.mark.parametrize("gate", ["handover", "annual"])
def test_what_was_not_read_fails_a_handover_and_an_audit(tmp_path: Path, gate: str) -> None:
    """A planned setting that was not read is a warning as such; at both gates it is an error."""
    site = small_site(tmp_path, found={"N-2": {"high_alarm": ""}})

    assert site.check("--gate", gate).code == 1


def test_the_gate_of_drift_judges_no_check_and_no_baseline(tmp_path: Path) -> None:
    """That gate reads no baseline; a setting that was not read must not slip through it."""
    site = small_site(tmp_path, found={"N-2": {"high_alarm": ""}})

    for outcome in (site.check("--gate", "drift"), try_to_seal(site, "b.json", "--gate", "drift")):
        assert (outcome.code, outcome.stdout) == (2, "")
        assert outcome.problems[0] == (
            "--gate: 'drift' judges what has changed since a baseline\n"
            "    fix: use asfound drift BASELINE READBACK"
        )


def test_a_gate_of_the_site(tmp_path: Path) -> None:
    """A gate from the site rules is used like ours."""
    site = with_a_warning(tmp_path)
    gate = {"id": "strict", "title": "Ours", "fail_on": "warning"}
    rules = site.write("own.yaml", {"asfound": "site-rules/1", "title": "T", "version": "1", "gates": [gate]})

    assert site.check("--rules", rules).code == 0
    assert site.check("--rules", rules, "--gate", "strict").code == 1


def test_a_gate_of_the_site_is_not_taken_for_ours(tmp_path: Path) -> None:
    """Whatever its title says, the report names the file that defines it."""
    site = with_a_warning(tmp_path)
    gate = {"id": "annual-2026", "title": "Annual configuration and security audit"}
    rules = site.write("own.yaml", {"asfound": "site-rules/1", "title": "T", "version": "1", "gates": [gate]})
    outs = [tmp_path / name for name in ("r.html", "r.md")]
    told = f"Annual configuration and security audit (annual-2026, a gate of {rules.as_posix()})"

    options = ("--rules", rules, "--width", "300", *(word for out in outs for word in ("--out", out)))
    assert told in site.check(*options, "--gate", "annual-2026").stdout
    assert [out.name for out in outs if told not in out.read_text("utf-8").replace("\\", "")] == []

    site.check(*options, "--gate", "annual")
    assert [out.name for out in outs if "a gate of" in out.read_text("utf-8")] == []


def test_a_level_of_the_site(tmp_path: Path) -> None:
    """A level in the site rules replaces that of the rule."""
    site = with_a_warning(tmp_path)
    levels = {"plan-revision-stale": "error"}
    rules = site.write(
        "own.yaml", {"asfound": "site-rules/1", "title": "T", "version": "1", "levels": levels}
    )

    assert site.check("--rules", rules).code == 1


SOFTER = {"asfound": "site-rules/1", "title": "T", "version": "1", "levels": {"channel-differs": "note"}}


def test_every_form_says_which_levels_site_rules_have_lowered(tmp_path: Path) -> None:
    """Whoever signs reads what a PASS was softened by, and where that is written."""
    site = with_a_finding(tmp_path)
    rules = site.write("own.yaml", SOFTER)
    outs = [tmp_path / name for name in ("r.html", "r.md", "r.sarif", "r.junit.xml")]
    outcome = site.check(
        "--rules", rules, "--width", "300", *(word for out in outs for word in ("--out", out))
    )

    told = f"Site rules lower 1 level: channel-differs error → note ({rules.as_posix()} line 4)"
    assert (outcome.code, outcome.stdout.splitlines()[2]) == (0, told)
    assert [out.name for out in outs if told not in out.read_text("utf-8").replace("\\", "")] == []
    assert site.result("--rules", rules)["gate"]["lowered"] == [
        {"rule": "channel-differs", "usual": "error", "level": "note", "file": rules.as_posix(), "row": 4}
    ]


def test_levels_that_are_raised_or_that_the_gate_holds_are_not_lowered(tmp_path: Path) -> None:
    """The handover gate has its own level for a setting that was not read, whatever the site says."""
    site = with_a_warning(tmp_path)
    levels = {"plan-revision-stale": "error", "setting-not-read": "note"}
    rules = site.write("own.yaml", {**SOFTER, "levels": levels})

    assert site.result("--rules", rules)["gate"]["lowered"] == []


def test_a_gate_of_the_site_that_lowers_a_level_says_so(tmp_path: Path) -> None:
    """The gate is the site's own, and its levels may be lower than ours; this is reported too."""
    site = with_a_finding(tmp_path)
    gate = {"id": "lenient", "title": "Ours", "levels": {"channel-differs": "note"}}
    rules = site.write("own.yaml", {**SOFTER, "levels": {}, "gates": [gate]})
    outcome = site.check("--rules", rules, "--gate", "lenient", "--width", "300")

    assert outcome.code == 0
    assert "Site rules lower 1 level: channel-differs error → note" in outcome.stdout
    assert "Site rules lower" not in site.check("--rules", rules).stdout


@pytest.mark.parametrize(
    ("given", "epoch", "date"),
    [("2026-03-31", "86399", "2026-03-31"), (None, "86399", "1970-01-01"), (None, "86400", "1970-01-02")],
    ids=["--on wins", "end of a day in UTC", "begin of a day in UTC"],
)
def test_the_date_of_the_run(
    monkeypatch: pytest.MonkeyPatch, given: str | None, epoch: str, date: str
) -> None:
    """The date comes from --on, else from SOURCE_DATE_EPOCH in UTC."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)

    assert running.run_date(given) == date


def test_the_date_is_reported(tmp_path: Path) -> None:
    """The date of the run is in the report and in the result."""
    site = small_site(tmp_path)

    assert "run on 2026-03-31" in site.check().stdout
    assert site.result()["run_on"] == "2026-03-31"


def test_a_gate_without_a_readback_judges_nothing(tmp_path: Path) -> None:
    """An unset variable in a script must not pass a handover; the plan alone can still be checked."""
    site = small_site(tmp_path)
    outcome = run("check", site.plan, "--gate", "handover")

    assert outcome.code == 2
    assert outcome.stderr.startswith("--gate: there is no READBACK to judge")
    assert run("check", site.plan).code == 0


def test_an_empty_file_name_is_not_the_working_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nor may such a variable in quotes make it read whatever is in the folder of the script."""
    with pytest.raises(SystemExit) as left:
        run("check", small_site(tmp_path).plan, "")

    assert left.value.code == 2
    assert "a file name is empty; is a variable not set?" in capsys.readouterr().err


def test_the_command_that_makes_the_result_again_can_be_pasted(tmp_path: Path) -> None:
    """It stands in one line, whatever the files are called and however narrow the terminal is."""
    folder = tmp_path / "the miller's mill"
    folder.mkdir()
    site = small_site(folder)
    first = run(
        "check", site.plan, *site.readbacks, "--gate", "annual", "--on", "2026-03-31", "--width", "60"
    )

    (line,) = (line for line in first.stdout.splitlines() if line.strip().startswith("asfound check"))
    again = run(*shlex.split(line)[1:], "--width", "60")

    assert again.stdout == first.stdout
