"""Writing files: whole or not at all, and never a baseline over another."""

from __future__ import annotations

import errno
import io
import os
from pathlib import Path

import pytest

from audit.cli.writing import (
    check_target,
    keep_apart,
    write_all,
    write_file,
    write_new,
    write_text,
    write_whole,
)
from audit.errors import InputProblems
from tests.disks import ignoring_capitals, lacking


def names(folder: Path) -> list[str]:
    """Return the names of everything in a folder."""
    return sorted(path.name for path in folder.iterdir())


def test_a_folder_that_may_not_be_written_to_is_told_before_anything_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The target is refused at once, not after an hour of typing or a long run."""
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(InputProblems, match=r"may not be written to.*\n.*write-protected"):
        check_target(tmp_path / "out.json")


def test_an_input_is_not_overwritten_under_another_spelling(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a stick RESULT.json is the earlier result.json that it was compared with."""
    earlier = tmp_path / "result.json"
    earlier.touch()
    ignoring_capitals(monkeypatch)
    with pytest.raises(InputProblems, match=r"RESULT\.json: not written: it is one of the files"):
        keep_apart([tmp_path / "RESULT.json"], [str(earlier)])


def test_a_name_that_hides_a_file_in_another_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows; elsewhere a colon is a character like others."""
    monkeypatch.setattr("audit.cli.writing.COLON_HIDES", False)
    check_target(tmp_path / "8:15.jsonl")

    monkeypatch.setattr("audit.cli.writing.COLON_HIDES", True)
    check_target(tmp_path / "8.15.jsonl")
    with pytest.raises(
        InputProblems, match=r"8:15\.jsonl: cannot be written: on Windows.*\n.*leave the colon"
    ):
        check_target(tmp_path / "8:15.jsonl")


def test_several_files_are_written_together_or_not_at_all(tmp_path: Path) -> None:
    """A result without its report would be taken for that of a run that was decided."""
    (tmp_path / "result.json").write_text("earlier")
    files = [(tmp_path / "result.json", "ours"), (tmp_path / "gone" / "report.html", "ours")]
    with pytest.raises(InputProblems, match=r"report\.html: cannot be written"):
        write_all(files)

    assert names(tmp_path) == ["result.json"]
    assert (tmp_path / "result.json").read_text() == "earlier"


def test_a_folder_that_has_gone_meanwhile_is_told(tmp_path: Path) -> None:
    """A stick may be pulled out during the run."""
    for write in (write_whole, write_new):
        with pytest.raises(InputProblems, match=r"/gone/out\.json: cannot be written: No such file"):
            write(tmp_path / "gone" / "out.json", "x")


def test_what_cannot_be_put_in_its_place_leaves_nothing_behind(tmp_path: Path) -> None:
    """A folder may have got in the way after the target was checked."""
    (tmp_path / "out.json").mkdir()
    with pytest.raises(InputProblems, match=r"cannot be written.*\n.*close the file in other programs"):
        write_whole(tmp_path / "out.json", "x")

    assert names(tmp_path) == ["out.json"]


@pytest.mark.parametrize("why", [errno.EINVAL, errno.ENOTSUP, errno.ENOSYS])
def test_a_disk_that_cannot_sync_gets_its_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, why: int
) -> None:
    """Some network shares cannot: a report is written all the same."""
    lacking(monkeypatch, "os.fsync", why=why)
    write_whole(tmp_path / "out.json", "ours")

    assert (tmp_path / "out.json").read_text() == "ours"


def test_a_disk_that_fails_while_syncing_gets_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What could not be written is not there."""
    lacking(monkeypatch, "os.fsync", why=errno.EIO)
    with pytest.raises(InputProblems, match="cannot be written"):
        write_whole(tmp_path / "out.json", "ours")

    assert names(tmp_path) == []


def test_a_disk_that_renames_nothing_over_a_file_gets_the_new_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some network shares refuse it: the second report of a site would not be written."""
    (tmp_path / "out.json").write_text("earlier")
    lacking(monkeypatch, "os.replace", why=errno.EEXIST)
    write_whole(tmp_path / "out.json", "ours")

    assert names(tmp_path) == ["out.json"]
    assert (tmp_path / "out.json").read_text() == "ours"


def test_the_earlier_file_comes_back_where_the_new_one_cannot_be_put(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk may fail between the two steps that such a share needs."""
    (tmp_path / "out.json").write_text("earlier")
    lacking(monkeypatch, "os.replace", why=errno.EEXIST)
    really = os.rename

    def fail(source: Path, target: Path) -> None:
        if Path(source).read_text() == "ours":
            raise OSError(errno.EIO, "Input/output error")
        really(source, target)

    monkeypatch.setattr(os, "rename", fail)
    with pytest.raises(InputProblems, match="cannot be written: Input/output error"):
        write_whole(tmp_path / "out.json", "ours")

    assert names(tmp_path) == ["out.json"]
    assert (tmp_path / "out.json").read_text() == "earlier"


def test_a_name_that_the_disk_does_not_take_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sticks and Windows refuse more names than other disks, and call them an invalid argument."""
    lacking(monkeypatch, "os.open", why=errno.EINVAL)
    with pytest.raises(InputProblems, match=r"8:15\.json: cannot be written: the disk does not take"):
        write_whole(tmp_path / "8:15.json", "ours")


def test_an_interrupt_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while waiting for the disk."""

    def interrupted(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "out.json", "x")

    assert names(tmp_path) == []


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
@pytest.mark.parametrize("leads_to", ["report.json", "nowhere.json"])
def test_a_link_is_not_written_to(tmp_path: Path, leads_to: str) -> None:
    """It would be replaced, even an administrator's /dev/stdout if that points to a file."""
    (tmp_path / "report.json").write_text("theirs")
    (tmp_path / "out.json").symlink_to(leads_to)
    with pytest.raises(InputProblems, match=r"is a link.*\n.*the file that it points to"):
        check_target(tmp_path / "out.json")


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_folder_may_be_a_link(tmp_path: Path) -> None:
    """What is written goes into the folder that the link points to."""
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    check_target(tmp_path / "link" / "out.json")
    write_whole(tmp_path / "link" / "out.json", "ours")

    assert names(tmp_path / "real") == ["out.json"]


@pytest.mark.skipif(os.name != "posix", reason="Windows has other permissions")
@pytest.mark.parametrize(
    ("before", "after"), [(None, 0o644), (0o600, 0o600), (0o640, 0o640), (0o666, 0o644), (0o400, 0o600)]
)
def test_a_file_that_was_made_private_stays_private(tmp_path: Path, before: int | None, after: int) -> None:
    """For instance marks of access codes, rewritten by each run. No more permissions than a new file."""
    path = tmp_path / "marks.json"
    if before is not None:
        path.touch()
        path.chmod(before)
    usual = os.umask(0o022)
    try:
        write_whole(path, "ours")
    finally:
        os.umask(usual)

    assert (oct(path.stat().st_mode & 0o777), path.read_text()) == (oct(after), "ours")


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_new_file_is_never_written_over_another(tmp_path: Path) -> None:
    """Nor over a link that points nowhere."""
    (tmp_path / "b.json").symlink_to("nowhere.json")
    with pytest.raises(InputProblems, match="exists already"):
        write_new(tmp_path / "b.json", "x")

    assert names(tmp_path) == ["b.json"]


@pytest.mark.parametrize("links", [True, False], ids=["links", "a disk without links"])
def test_what_another_program_puts_there_meanwhile_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    """Between check and writing somebody else may have sealed."""
    path = tmp_path / "b.json"

    def too_late(draft: Path, target: Path) -> None:
        target.write_text("theirs")
        raise FileExistsError if links else PermissionError

    monkeypatch.setattr(os, "link", too_late)
    with pytest.raises(InputProblems, match="exists already"):
        write_new(path, "ours")

    assert (names(tmp_path), path.read_text()) == (["b.json"], "theirs")


def test_a_disk_without_links_takes_a_new_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """FAT has no links."""

    def refused(draft: Path, target: Path) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "link", refused)
    write_new(tmp_path / "b.json", "ours")

    assert (names(tmp_path), (tmp_path / "b.json").read_text()) == (["b.json"], "ours")


def test_bytes_go_to_what_lies_under_stdout() -> None:
    """A workbook is not text; what was written before it comes first."""
    under = io.BytesIO()
    stdout = io.TextIOWrapper(under, encoding="ascii")
    stdout.write("text")
    write_file(stdout, b"\xff\x00")

    assert under.getvalue() == b"text\xff\x00"


def test_what_a_file_would_hold_goes_down_a_pipe_as_it_is() -> None:
    """JSON in a pipe's code page would be invalid; text uses the code page, for whoever reads it there."""
    under = io.BytesIO()
    stdout = io.TextIOWrapper(under, encoding="cp1252", newline="\r\n")
    write_file(stdout, '"°"\n')
    write_text(stdout, "°\n")
    stdout.flush()

    assert under.getvalue() == '"°"\n'.encode() + b"\xb0\r\n"
