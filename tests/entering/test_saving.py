"""The file as it grows: whole lines, numbered, in order of time, whoever else writes into it."""

from __future__ import annotations

import datetime
import errno
import json
import os
import re
import subprocess
import sys
from types import SimpleNamespace
from typing import NoReturn

import pytest

from audit import locking
from audit.entering import saving
from audit.entering.devices import Device
from audit.entering.saving import EntryFile, NotSaved, Signature, aware
from audit.entering.state import Draft
from audit.locking import lock_of
from audit.reading.entries import TORN_MARK
from audit.reading.files import read_bytes
from tests.cli.sites import ROOT
from tests.disks import lacking
from tests.entering.talks import NOON, SIGNATURE, Talk
from tests.entry_lines import as_lines, entry, skipped
from tests.small_site import NAME


def node(talk: Talk, tag: str = "N-1") -> Device:
    """Return a device of the site."""
    (device,) = talk.wanted.named(tag)
    return device


def save(talk: Talk, file: EntryFile, value: str, name: str = "channel") -> int:
    """Save a value of node N-1, and return the number of its line."""
    return file.append(Draft(node(talk), name, value), SIGNATURE)[-1].number


def opened(talk: Talk) -> EntryFile:
    """Return the file, read."""
    file = talk.open()
    file.read()
    return file


def test_readings_are_numbered_setting_by_setting(talk: Talk) -> None:
    """What was left out is not counted as read."""
    file = opened(talk)
    file.append(Draft(node(talk), "channel", "", skipped=""), SIGNATURE)
    for value in ("17", "18"):
        save(talk, file, value)
    save(talk, file, "0Q7Z", "network_id")

    assert [line["reading"] for line in talk.lines()] == [1, 1, 2, 1]


def test_numbering_goes_on_after_another_start(talk: Talk) -> None:
    """The file itself says how often a setting was read."""
    save(talk, opened(talk), "17")
    save(talk, opened(talk), "18")

    assert [line["reading"] for line in talk.lines()] == [1, 2]


def test_a_later_reading_has_a_later_time_whatever_the_clock_says(talk: Talk) -> None:
    """The newest reading counts, so a clock that was set back must not make it look older."""
    save(talk, opened(talk), "17")
    talk.now = NOON - datetime.timedelta(days=1)
    save(talk, opened(talk), "18")

    first, second = (datetime.datetime.fromisoformat(line["read_at"]) for line in talk.lines())
    assert second - first == saving.TICK


def test_what_others_have_written_is_read_before_writing(talk: Talk) -> None:
    """Two people in one file: the second's numbering continues the first's, and each sees the other's."""
    mine, theirs = opened(talk), opened(talk)
    save(talk, mine, "17")
    others, own = theirs.append(Draft(node(talk), "channel", "18"), SIGNATURE)

    assert (others.entry.value, own.entry.value, own.entry.reading, own.number) == ("17", "18", 2, 2)
    assert save(talk, mine, "19") == 3


def test_all_text_is_one_line(talk: Talk) -> None:
    """A note with line breaks and characters of other scripts is one line, and comes back as it was."""
    text = 'über "3 m"\r\nслепой\u2028end\x85'
    save(talk, opened(talk), text, "note")

    assert read_bytes(talk.path).data.count(b"\n") == 1
    assert json.loads(talk.path.read_text(encoding="utf-8"))["value"] == text


def test_nothing_is_written_before_a_value_is_typed(talk: Talk) -> None:
    """Opening and reading create no file."""
    opened(talk)

    assert not talk.path.exists()


# Torn records


TORN = b'{"asfound": "entry/1", "network": "Main", "tag": "N-1", "setting": "chan'


@pytest.mark.parametrize("torn", [TORN, b"\x00" * 30, TORN[:40] + b"\xc3"], ids=["cut", "zeros", "half"])
def test_a_torn_record_is_closed_off_and_kept(talk: Talk, torn: bytes) -> None:
    """Not a byte of it is lost, and what is written after it is read."""
    talk.path.write_bytes(as_lines(entry("N-1", "serial", "100001")).encode() + torn)
    file = talk.open()
    told = file.read().warnings

    number = save(talk, file, "17")

    data = talk.path.read_bytes()
    assert data.count(torn + TORN_MARK.encode() + b"\n") == 1
    assert (told[0].line, number) == (2, 3)
    assert [(line.number, line.name) for line in talk.open().read().lines] == [(1, "serial"), (3, "channel")]


def test_a_record_that_another_process_tears_is_closed_off(talk: Talk) -> None:
    """The other process may be killed while writing, long after this one has read the file."""
    file = opened(talk)
    save(talk, file, "17")
    with talk.path.open("ab") as stream:
        stream.write(TORN)

    assert save(talk, file, "18") == 3
    assert save(talk, file, "19") == 4
    assert len(talk.open().read().lines) == 3


def test_a_last_line_without_its_newline_is_completed(talk: Talk) -> None:
    """A file written by hand may end like this; its last reading counts."""
    talk.path.write_text(as_lines(entry("N-1", "channel", "17")).rstrip("\n"), encoding="utf-8")
    file = opened(talk)

    assert save(talk, file, "18") == 2
    assert [line["value"] for line in talk.lines()] == ["17", "18"]
    assert talk.lines()[1]["reading"] == 2


def test_entries_of_the_form_and_by_hand_are_gone_on_with(talk: Talk) -> None:
    """Optional keys are missing, labels name settings, and skips withdraw readings."""
    lines = [
        entry("N-1", "CH", "17", network=""),
        {"asfound": "entry/1", "tag": "N-1", "setting": "unit", "value": "kPa"},
        skipped("N-1", "unit"),
    ]
    talk.path.write_text("\ufeff" + as_lines(*lines), encoding="utf-8")

    shown = talk.answer("N-1", "100001")

    assert shown[-2].startswith("N-1  3 of 7  network_id")


# What cannot be written


def test_a_file_that_has_become_shorter_is_not_written_to(talk: Talk) -> None:
    """Somebody else has changed it: what was read before may be gone."""
    file = opened(talk)
    save(talk, file, "17")
    talk.path.write_text("", encoding="utf-8")

    with pytest.raises(NotSaved, match="shorter than it was"):
        save(talk, file, "18")
    assert talk.path.read_bytes() == b""


def test_a_file_that_has_gone_is_not_begun_anew(talk: Talk) -> None:
    """A second file would hold only what came after."""
    file = opened(talk)
    save(talk, file, "17")
    talk.path.unlink()

    with pytest.raises(NotSaved, match="is no longer there"):
        save(talk, file, "18")
    assert not talk.path.exists()


@pytest.mark.parametrize("more", ["", "18"], ids=["as long", "longer"])
def test_a_file_that_was_replaced_is_not_written_to(talk: Talk, more: str) -> None:
    """By a program that syncs folders, say: what was typed is in a copy then, and nobody would miss it."""
    file = opened(talk)
    save(talk, file, "17")
    text = talk.path.read_text(encoding="utf-8").replace("R. Sample", "A. Figure")
    theirs = text + text.replace('"17"', f'"{more}"') * bool(more)
    talk.path.write_text(theirs, encoding="utf-8")
    with pytest.raises(NotSaved, match=r"replaced the file, whose line 1 has changed: look for a copy"):
        save(talk, file, "19")

    assert talk.path.read_text(encoding="utf-8") == theirs
    assert save(talk, opened(talk), "19") == theirs.count("\n") + 1


def test_a_file_that_was_replaced_after_a_try_that_failed_is_not_written_to(
    talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Which line came last is still known."""
    file = opened(talk)
    save(talk, file, "17")
    with monkeypatch.context() as full:
        lacking(full, "os.write", why=errno.ENOSPC)
        with pytest.raises(NotSaved):
            save(talk, file, "18")
    text = talk.path.read_text(encoding="utf-8")
    talk.path.write_text(text.replace("R. Sample", "A. Figure"), encoding="utf-8")

    with pytest.raises(NotSaved, match="replaced the file"):
        save(talk, file, "18")


def test_nothing_is_left_where_a_stick_was(talk: Talk) -> None:
    """A lock in the empty folder would keep the system from mounting the stick there again."""
    file = opened(talk)
    save(talk, file, "17")
    for path in talk.path.parent.glob("*entered.jsonl*"):
        path.unlink()
    before = sorted(talk.path.parent.iterdir())
    with pytest.raises(NotSaved, match="is no longer there"):
        save(talk, file, "18")

    assert sorted(talk.path.parent.iterdir()) == before


def test_a_file_that_somebody_has_damaged_is_not_written_to(talk: Talk) -> None:
    """The reason names the line."""
    file = opened(talk)
    save(talk, file, "17")
    with talk.path.open("a", encoding="utf-8") as stream:
        stream.write("junk\n")

    with pytest.raises(NotSaved, match=r"damaged the file: .*entered.jsonl"):
        save(talk, file, "18")


def test_a_file_that_is_held_by_another_program_is_told(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """It waits for a while, and then says so instead of waiting for ever."""
    monkeypatch.setattr(locking, "SECONDS", 0.05)
    file = opened(talk)
    with lock_of(talk.path), pytest.raises(NotSaved, match="holding"):
        save(talk, file, "17")
    assert save(talk, file, "17") == 1


def without_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the file be on a network share without locks."""
    fcntl = pytest.importorskip("fcntl", reason="locks of Windows are another matter")
    lacking(monkeypatch, f"{fcntl.__name__}.flock", why=errno.ENOLCK)


def test_a_share_without_locks_takes_values(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file stands in for the lock, and is gone afterwards, like the one that could not be locked."""
    without_locks(monkeypatch)

    assert save(talk, opened(talk), "17") == 1
    assert list(talk.path.parent.glob(f".{talk.path.name}*")) == []


def test_one_writes_at_a_time_on_a_share_without_locks(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a computer that failed has left behind is named, for whoever knows that nobody is writing."""
    without_locks(monkeypatch)
    monkeypatch.setattr(locking, "SECONDS", 0.05)
    file = opened(talk)
    with lock_of(talk.path), pytest.raises(NotSaved) as refused:
        save(talk, file, "17")

    left = f".{talk.path.name}.held"
    assert str(refused.value) == (f"another program is holding the file; if none is, delete {left} beside it")
    assert save(talk, file, "17") == 1


def test_whether_the_disk_confirms_a_value_is_known(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A share that cannot say so still takes values; that it can later does not confirm the earlier ones."""
    file = opened(talk)
    save(talk, file, "17")
    assert file.confirmed

    with monkeypatch.context() as share:
        lacking(share, "os.fsync")
        save(talk, file, "18")
    assert not file.confirmed
    save(talk, file, "19")
    assert not file.confirmed
    assert [line["value"] for line in talk.lines()] == ["17", "18", "19"]


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_lock_that_cannot_be_opened_is_named(talk: Talk) -> None:
    """It is hidden: whoever is told no more than that permission was denied looks at the wrong file."""
    lock = talk.path.with_name(f".{talk.path.name}.lock")
    lock.mkdir()

    with pytest.raises(NotSaved, match=rf": {re.escape(lock.name)}$"):
        save(talk, opened(talk), "17")


def test_a_link_in_the_place_of_the_lock_empties_no_file(talk: Talk) -> None:
    """Somebody else may have put it into a shared folder; releases of filelock before 3.20.1 follow it."""
    theirs = talk.path.with_name("theirs.txt")
    theirs.write_text("theirs")
    talk.path.with_name(f".{talk.path.name}.lock").symlink_to(theirs)
    with pytest.raises(NotSaved):
        save(talk, opened(talk), "17")

    assert theirs.read_text() == "theirs"


def test_half_a_line_is_taken_out_again(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full after half of a line, the file is left as it was."""
    file = opened(talk)
    save(talk, file, "17")
    before = talk.path.read_bytes()
    really = os.write

    def full(handle: int, data: memoryview) -> int:
        if len(data) < 100:
            raise OSError(28, "No space left on device")
        return really(handle, data[: len(data) - 50])

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(NotSaved, match="No space left on device"):
        save(talk, file, "18")
    assert talk.path.read_bytes() == before

    monkeypatch.undo()
    assert save(talk, file, "18") == 2


def full_disk(handle: int, data: memoryview) -> int:
    """Write nothing."""
    raise OSError(28, "No space left on device")


def test_a_first_value_that_is_not_saved_leaves_no_file(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """`check` of the folder would stop at an empty one."""
    file = opened(talk)
    monkeypatch.setattr(os, "write", full_disk)
    with pytest.raises(NotSaved, match="No space left on device"):
        save(talk, file, "17")
    assert not talk.path.exists()

    monkeypatch.undo()
    assert save(talk, file, "17") == 1


def test_an_empty_file_that_was_there_stays(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody else has made it."""
    talk.path.touch()
    monkeypatch.setattr(os, "write", full_disk)
    with pytest.raises(NotSaved):
        save(talk, opened(talk), "17")

    assert talk.path.read_bytes() == b""


def test_a_torn_record_is_closed_off_though_the_first_try_fails(
    talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a full disk, a torn record and a value that is not saved come close together."""
    talk.path.write_bytes(TORN)
    file = opened(talk)
    monkeypatch.setattr(os, "write", full_disk)
    with pytest.raises(NotSaved):
        save(talk, file, "17")
    monkeypatch.undo()

    assert save(talk, file, "17") == 2
    assert [line.entry.value for line in talk.open().read().lines] == ["17"]


def test_what_others_have_written_is_told_though_the_first_try_fails(
    talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Or what they have read would be asked for again."""
    mine, theirs = opened(talk), opened(talk)
    save(talk, theirs, "0Q7Z", "network_id")
    monkeypatch.setattr(os, "write", full_disk)
    with pytest.raises(NotSaved):
        save(talk, mine, "17")
    monkeypatch.undo()

    lines = mine.append(Draft(node(talk), "channel", "17"), SIGNATURE)
    assert [line.name for line in lines] == ["network_id", "channel"]
    assert [line.name for line in mine.append(Draft(node(talk), "channel", "17"), SIGNATURE)] == ["channel"]


LIMITED = """
import resource, sys
from audit.cli.main import run
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))  # the system then refuses to let a file grow further
sys.exit(run(sys.argv[1:], sys.stdout, sys.stderr))
"""


@pytest.mark.skipif(os.name != "posix", reason="limits of a process are a matter of POSIX")
def test_the_system_refusing_to_write_loses_nothing(talk: Talk) -> None:
    """With a real limit on the file's size, whole lines are kept; the value that did not fit is reported."""
    script = ["N-1", "100001", "17", "0Q7Z", "812.5"]
    done = subprocess.run(  # -B: Python would keep the first 1000 bytes of a module that it compiles here
        [sys.executable, "-B", "-c", LIMITED, "enter", talk.site.plan, talk.path, "--by", "R. Sample"],
        input="\n".join(script) + "\n", capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip

    saved = [line["value"] for line in talk.lines()]
    assert done.returncode == 2
    assert 0 < len(saved) < 4
    assert saved == script[1 : len(saved) + 1]
    lost = script[len(saved) + 1]
    assert f"standard input:{len(saved) + 2}: {lost!r} is not saved: File too large" in done.stderr


@pytest.mark.parametrize("text", ["0001-01-01T00:00", "9999-12-31T23:59-14:00", ""])
def test_a_time_at_the_edge_of_the_calendar_is_none(text: str) -> None:
    """It has no local time."""
    assert aware(text) is None


def test_a_time_that_the_system_cannot_reckon_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows knows no local time before 1970, which is what a clock that was never set shows."""

    class Unknown(datetime.datetime):
        def astimezone(self, *_: object) -> NoReturn:
            raise OSError(22, "Invalid argument")

    monkeypatch.setattr(saving, "datetime", SimpleNamespace(datetime=Unknown))

    assert aware("1969-12-31T12:00") is None


def test_what_an_entry_cannot_hold_is_not_saved(talk: Talk) -> None:
    """It is reported, and does not end the program."""
    entries = opened(talk)
    with pytest.raises(NotSaved, match="read_by cannot be written to the file"):
        entries.append(Draft(node(talk), "channel", "7"), Signature(NAME, "A", "x" * 1001))
    assert not talk.path.exists()
    entries.append(Draft(node(talk), "channel", "", skipped="gone \ud800"), SIGNATURE)
