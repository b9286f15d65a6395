"""asfound sheet --form: the file is written whole or not at all, and what comes back is read."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.sites import in_a_process
from tests.entry_lines import as_lines, entry
from tests.reporting.forms import data_of, devices_of
from tests.small_site import SmallSite, run, small_site


@pytest.fixture
def site(tmp_path: Path) -> SmallSite:
    """Return a site of one gateway and three nodes."""
    return small_site(tmp_path)


def test_the_form_is_written_and_the_next_steps_are_told(site: SmallSite) -> None:
    """What was made, of how many devices, and how its entries come back."""
    target = site.folder / "form.html"
    outcome = run("sheet", site.plan, "--form", target)

    assert (outcome.code, outcome.stderr) == (0, "")
    first, *rest = outcome.stdout.splitlines()
    assert first.startswith(f"{target.as_posix()}: a form for 4 devices in 1 network, blind, ")
    assert rest == [
        "next: copy it to a phone or tablet, open it in a browser there, enter the readings, export them",
        f"then: asfound check {site.plan.as_posix()} EXPORTED.jsonl",
    ]
    assert list(devices_of(target.read_text(encoding="utf-8"))) == ["GW-1", "N-1", "N-2", "N-3"]


def test_the_ending_may_be_in_capitals(site: SmallSite) -> None:
    """As programs on Windows write it."""
    assert run("sheet", site.plan, "--form", site.folder / "FORM.HTM", "--quiet").code == 0


def test_form_and_sheets_are_made_together(site: SmallSite) -> None:
    """One command for the phone and for paper."""
    outcome = run("sheet", site.plan, "--form", site.folder / "form.html", "--out", site.folder / "sheet.csv")

    assert outcome.code == 0
    assert (site.folder / "sheet.csv").exists()
    assert data_of((site.folder / "form.html").read_text(encoding="utf-8"))["site"] == site.name


def test_quiet_prints_nothing(site: SmallSite) -> None:
    """As for every command."""
    assert run("sheet", site.plan, "--form", site.folder / "form.html", "--quiet").written == ""


def test_a_newer_form_takes_the_place_of_an_older_one(site: SmallSite) -> None:
    """A form holds no entries; they are in the browser, and in what was exported."""
    target = site.folder / "form.html"
    run("sheet", site.plan, "--form", target)
    before = target.read_bytes()
    site.replace("channel: 7", "channel: 8")

    assert run("sheet", site.plan, "--form", target).code == 0
    assert target.read_bytes() != before


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--form", "form.txt"], "--form form.txt: does not end in .html"),
        (["--form", "form"], "--form form: does not end in .html"),
        (["--form", "-"], "--form -: does not end in .html"),
        (["--form", "none/form.html"], "none/form.html: cannot be written: its folder does not exist"),
        (["--form", "a.html", "--out", "a.html"], "--form a.html: --out has the same name"),
        (["--form", "a.html", "--out", "A.html"], "--form a.html: --out has A.html, the same where capitals"),
        (["--form", "a.html", "--with-plan"], "--form does not go with --with-plan"),
        (["--form", "a.html", "--network", "Mian"], "--network: unknown network 'Mian'"),
    ],
)
def test_what_cannot_be_done_is_told_and_nothing_is_written(
    site: SmallSite, monkeypatch: pytest.MonkeyPatch, arguments: list[str], message: str
) -> None:
    """One clear message with its remedy, and no file."""
    monkeypatch.chdir(site.folder)
    before = sorted(site.folder.iterdir())
    outcome = run("sheet", "plan.yaml", *arguments)

    assert outcome.code == 2
    assert message in outcome.problems[0]
    assert "fix:" in outcome.problems[0]
    assert sorted(site.folder.iterdir()) == before


def test_a_plan_that_cannot_be_read_leaves_an_older_form(site: SmallSite) -> None:
    """Nothing is half overwritten."""
    target = site.folder / "form.html"
    run("sheet", site.plan, "--form", target)
    before = target.read_bytes()
    site.replace("channel: 7", "channel: seven")

    assert run("sheet", site.plan, "--form", target).code == 2
    assert target.read_bytes() == before


def test_fresh_processes_write_the_same_bytes(site: SmallSite) -> None:
    """Whatever the order of sets in a process, the form and its digest are the same."""
    forms = []
    for seed in ("0", "1", "42"):
        target = site.folder / f"form-{seed}.html"
        assert in_a_process("sheet", site.plan, "--form", target, PYTHONHASHSEED=seed).returncode == 0
        forms.append(target.read_bytes())

    assert len(set(forms)) == 1


@pytest.mark.parametrize("name", ["entries.jsonl", "entries.jsonl.txt", "ENTRIES.JSONL.TXT"])
def test_shared_files_are_read_under_the_name_that_a_phone_gives(site: SmallSite, name: str) -> None:
    """Some phones only share files with a known ending; alone and in a folder these are still entries."""
    folder = site.folder / "shared"
    folder.mkdir()
    (folder / name).write_text(as_lines(entry("N-1", "channel", "8")), encoding="utf-8")

    for given in (folder / name, folder):
        run("check", site.plan, given, "--out", site.folder / "result.json")
        result = json.loads((site.folder / "result.json").read_text(encoding="utf-8"))
        assert (result["counts"]["devices_read"], result["counts"]["differing"]) == (1, 1)
