"""asfound enter as a command: answers from a pipe, exit codes, and files that it does not continue."""

from __future__ import annotations

import datetime
import io
import json
import os
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.entering.talks import AS_PLANNED, talking_site
from tests.entry_lines import as_lines, entry
from tests.refusing import assert_clear
from tests.small_site import NAME, Outcome, SmallSite, run, small_site


@pytest.fixture
def site(tmp_path: Path) -> SmallSite:
    """Return a site with a display to read."""
    return talking_site(tmp_path)


@pytest.fixture
def typed(site: SmallSite, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a function that gives answers to the command."""

    def give(
        *answers: str, options: tuple[str, ...] = ("--by", "R. Sample"), file: str = "e.jsonl"
    ) -> Outcome:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{answer}\n" for answer in answers)))
        return run("enter", site.plan, site.folder / file, *options)

    return give


def lines(site: SmallSite) -> list[dict[str, Any]]:
    """Return the entries of the file."""
    return [json.loads(line) for line in (site.folder / "e.jsonl").read_text(encoding="utf-8").splitlines()]


def test_a_piped_readback_is_complete_and_checked(site: SmallSite, typed: Any) -> None:
    """One answer to a line; it ends with the answers; check reads what it wrote."""
    outcome = typed("N-1", *AS_PLANNED)

    assert (outcome.code, outcome.stderr) == (0, "")
    assert [line["value"] for line in lines(site)] == list(AS_PLANNED)
    checked = run("check", site.plan, site.folder / "e.jsonl", "--all")
    assert checked.code == 1
    assert "N-2" in checked.stdout
    assert "6 read as planned, 0 differ" in checked.stdout


def test_the_start_and_the_end_are_told(site: SmallSite, typed: Any) -> None:
    """It says whose readings go where, that nothing is to be changed, and what comes next."""
    outcome = typed("N-1", "100001")

    assert outcome.stdout.startswith(f"{NAME}, plan revision A\nReadings go into")
    assert "Only read. Changing a setting is another job, with its own permit." in outcome.stdout
    assert f"asfound check {site.plan.as_posix()} {site.folder.as_posix()}/e.jsonl" in " ".join(
        outcome.stdout.split()
    )


def test_who_reads_is_asked_for_once(site: SmallSite, typed: Any) -> None:
    """Without --by the first answer is the name."""
    typed("R. Sample", "N-1", "100001", options=())

    assert lines(site)[0]["read_by"] == "R. Sample"


@pytest.mark.parametrize("options", [(), ("--by", " ")])
def test_nobody_cannot_read(typed: Any, options: tuple[str, ...]) -> None:
    """A blank name is refused, from a pipe and as an option."""
    outcome = typed("", "N-1", options=options)

    assert outcome.code == 2
    assert outcome.problems == [
        "standard input:1: the name is blank\n    fix: give it in the first line, or with --by"
    ]


def test_a_resumed_file_tells_how_far_it_is(site: SmallSite, typed: Any) -> None:
    """The second run says what the file already holds."""
    typed("N-1", *AS_PLANNED, "N-2", "100002", "/quit")

    assert "The file holds 8 lines: 1 of 4 devices done, 1 begun." in typed().stdout


def test_nothing_entered_leaves_no_file(site: SmallSite, typed: Any) -> None:
    """Somebody who starts it and stops at once leaves no file behind."""
    before = site.files()

    outcome = typed("N-1", "/quit")

    assert outcome.stdout.endswith("Nothing was entered.\n")
    assert site.files() == before


@pytest.mark.parametrize("given", ["option", "environment"])
def test_the_time_can_be_fixed(
    site: SmallSite, typed: Any, given: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same answers give the same bytes."""
    options = ["--by", "R. Sample"]
    if given == "option":
        options += ["--at", "2026-03-31T09:15:00+02:00"]
    else:
        monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774941300")

    typed("N-1", "100001", "18", "/back", "17", options=tuple(options))

    wanted = "2026-03-31T09:15:00" if given == "option" else "2026-03-31T07:15:00"
    times = [line["read_at"][:23] for line in lines(site)]
    assert times == [f"{wanted}.000", f"{wanted}.000", f"{wanted}.001"]
    assert "readings-disagree" not in run("check", site.plan, site.folder / "e.jsonl", "--all").stdout


def test_a_fixed_time_without_an_offset_is_that_of_the_clock(site: SmallSite, typed: Any) -> None:
    """Every reading has its offset, so that those of other clocks can be put in order."""
    typed("N-1", "100001", options=("--by", "R. Sample", "--at", "2026-03-31T09:15"))

    (line,) = lines(site)
    read_at = datetime.datetime.fromisoformat(line["read_at"])
    assert read_at == datetime.datetime(2026, 3, 31, 9, 15).astimezone()


def test_a_reading_from_the_future_is_told(site: SmallSite, typed: Any) -> None:
    """One of two clocks is wrong, and the newest reading is the one that counts."""
    typed("N-1", "100001", options=("--by", "A", "--at", "2026-03-31T09:15:00+00:00"))

    outcome = typed(options=("--by", "A", "--at", "2026-03-31T07:15:00+00:00"))

    told = " ".join(outcome.stdout.split())
    assert "The clock says 2026-03-31 07:15, and the file holds a reading of 2026-03-31 09:15." in told


def test_a_device_that_is_not_in_the_plan_is_told(site: SmallSite, typed: Any) -> None:
    """Its readings stay in the file."""
    site.write("e.jsonl", as_lines(entry("X-1", "channel", "7")))

    assert "Not in this plan: X-1, in line 1 of the file" in typed("N-1", "100001").stdout
    assert len(lines(site)) == 2


def test_a_device_that_has_another_network_now_is_named_with_the_old_one(site: SmallSite, typed: Any) -> None:
    """Its tag is in the plan, and its readings are not taken for those of the device there."""
    site.write("e.jsonl", as_lines(entry("N-1", "channel", "7", network="Old")))

    shown = typed("/list").stdout
    assert "Not in this plan: N-1 in network Old, in line 1 of the file" in shown
    assert "N-1 0/" in shown


def test_a_torn_record_is_told_at_the_start(site: SmallSite, typed: Any) -> None:
    """Its text is shown, and the setting has to be read again."""
    site.write("e.jsonl", as_lines(entry("N-1", "serial", "100001")) + '{"asfound": "entry/1", "netw')

    outcome = typed("N-1", "17")

    assert "Line 2 of the file: a torn record, left out:" in outcome.stdout
    assert run("check", site.plan, site.folder / "e.jsonl").code == 1


def test_other_revisions_are_gone_on_with_only_on_demand(site: SmallSite, typed: Any) -> None:
    """The file keeps the revision of each reading, and check reports the old one."""
    typed("N-1", "100001", "17")
    site.replace("revision: A", "revision: B")

    refused = typed("N-1", "0Q7Z")
    taken = typed("N-1", "0Q7Z", options=("--by", "R. Sample", "--other-revision"))

    (problem,) = refused.problems
    assert refused.code == 2
    assert "e.jsonl:1: was begun under plan revision 'A'; the plan is at 'B'" in problem
    assert "--other-revision" in problem
    assert taken.code == 0
    assert [line["plan_revision"] for line in lines(site)] == ["A", "A", "B"]
    assert "plan-revision-stale" in run("check", site.plan, site.folder / "e.jsonl", "--all").stdout


def test_a_file_of_another_site_is_not_gone_on_with(site: SmallSite, typed: Any) -> None:
    """No option helps: its readings are from other devices."""
    site.write("e.jsonl", as_lines(entry("N-1", "channel", "7", site="Big Site", plan_revision="A")))

    outcome = typed("N-1", options=("--by", "A", "--other-revision"))

    assert outcome.code == 2
    assert "e.jsonl:1: holds readings from the site 'Big Site'; the plan is for" in outcome.stderr
    assert_clear(outcome.stderr)


def test_a_file_from_before_the_site_was_renamed_is_gone_on_with(site: SmallSite, typed: Any) -> None:
    """The plan knows the old name."""
    site.write("e.jsonl", as_lines(entry("N-1", "channel", "7", site="Big Site", plan_revision="A")))
    site.replace("name: Little Site", "name: Little Site, formerly: [Big Site]")

    assert typed("N-1", options=("--by", "A")).code == 0


UNUSABLE = [
    ("e.csv", None, "a file of entries ends in .jsonl", "name it e.jsonl"),
    ("nowhere/e.jsonl", None, "its folder does not exist", "check the folder"),
    ("folder.jsonl", "folder", "it is a folder", "name a file in it"),
    ("e.jsonl", "tag,channel\nN-1,7\n", "is not a file of entries", "asfound enter"),
    ("e.jsonl", '{"asfound": "entry/1"}\n', "'tag', 'setting', 'value' are missing", "add them"),
]


@pytest.mark.parametrize(("name", "content", "says", "mend"), UNUSABLE)
def test_a_file_that_cannot_be_used_is_told_before_anything_is_typed(
    site: SmallSite, typed: Any, name: str, content: str | None, says: str, mend: str
) -> None:
    """Nobody types into a file that cannot take it, and what it holds is not changed."""
    if content == "folder":
        (site.folder / name).mkdir()
    elif content:
        site.write(name, content)

    outcome = typed("N-1", "100001", file=name)

    assert (outcome.code, outcome.stdout) == (2, "")
    assert says in outcome.stderr
    assert mend in outcome.stderr
    assert_clear(outcome.stderr)
    assert content in (None, "folder") or (site.folder / name).read_text(encoding="utf-8") == content


def test_a_file_that_may_not_be_written_is_told(
    site: SmallSite, typed: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Permission is checked before anything is typed."""
    path = site.write("e.jsonl", as_lines(entry("N-1", "channel", "7")))
    monkeypatch.setattr(os, "access", lambda name, _: Path(name) != path)

    assert "e.jsonl: cannot be written to" in typed("N-1").stderr


@pytest.mark.parametrize("options", [("--at", "noon"), ("--at", "31.3.2026")])
def test_a_time_that_is_none_is_refused(typed: Any, options: tuple[str, ...]) -> None:
    """The message says in which form to write it."""
    outcome = typed(options=options)

    assert outcome.code == 2
    assert "is not a time\n    fix: write it as 2026-03-31T09:15" in outcome.stderr


def test_an_answer_that_is_not_taken_stops_a_pipe_with_its_line(site: SmallSite, typed: Any) -> None:
    """Everything typed before is saved, and the exit code says that something is wrong."""
    outcome = typed("N-1", "100001", "99", "0Q7Z")

    assert outcome.code == 2
    assert "standard input:3: 99 is above 40" in outcome.stderr
    assert "/keep records it at a terminal" in outcome.stderr, "here the run has ended"
    assert [line["value"] for line in lines(site)] == ["100001"]


def test_no_code_is_asked_for_or_told(site: SmallSite, typed: Any) -> None:
    """The factory code of the device type, 1234, appears nowhere."""
    outcome = typed("N-1", *AS_PLANNED, "/list", "?", "/back")

    assert "1234" not in outcome.written.replace("100001", "")
    assert "access_code" not in {line["setting"] for line in lines(site)}


def test_answers_that_are_piped_are_utf_8_on_every_system(
    site: SmallSite, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows a pipe has a code page, and some programs that write to it put a mark in front."""
    typed = io.TextIOWrapper(io.BytesIO("\ufeffN-1\n/skip zu groß\n".encode()), encoding="cp1252")
    monkeypatch.setattr("sys.stdin", typed)

    run("enter", site.plan, site.folder / "e.jsonl", "--by", "R. Sample")

    assert [line["skipped"] for line in lines(site)] == ["zu groß"]


def test_with_standard_input_closed_there_is_nobody_to_ask(
    site: SmallSite, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program may start it without input; it says so and makes no file."""
    monkeypatch.setattr("sys.stdin", None)

    outcome = run("enter", site.plan, site.folder / "e.jsonl")

    assert outcome.code == 2
    assert "standard input is closed" in outcome.stderr


def test_a_note_with_a_code_is_neither_taken_nor_shown(site: SmallSite, typed: Any) -> None:
    """Nor is it echoed among the answers from the pipe."""
    outcome = typed("N-1", "100001", "/note the code is 4711")

    assert outcome.code == 2
    assert "4711" not in outcome.written
    assert len(lines(site)) == 1


def test_control_characters_of_a_plan_are_written_out(site: SmallSite, typed: Any) -> None:
    """A tag that would colour the terminal is shown without doing so."""
    site.replace("location: Pit 2", 'location: "Pit \\e[31m2"')

    assert r"Pit \u001b[31m2" in typed("N-2").stdout


def test_exchanged_arguments_are_told(site: SmallSite) -> None:
    """The message does not suggest renaming the plan."""
    outcome = run("enter", site.folder / "e.jsonl", site.plan)

    assert outcome.code == 2
    assert "the plan comes first: asfound enter" in outcome.stderr


def test_a_clock_at_the_end_of_the_calendar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """--at may be any time."""
    site = small_site(tmp_path)
    for at, typed in (("2026-03-01T09:00", "N-1\n100001\n/quit\n"), ("9999-12-31T23:59+00:00", "/quit\n")):
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        outcome = run("enter", site.plan, tmp_path / "e.jsonl", "--by", "K", "--at", at)
    assert (outcome.code, outcome.stderr) == (0, "")
