"""Files that cannot be read at all, and invalid arguments: exit code 2, with place and remedy."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.refusing import assert_clear, assert_refused, refusal
from tests.small_site import SmallSite, run, small_site

BOTH = pytest.mark.parametrize("name", ["plan.yaml", "found.csv"])
"""Whatever is wrong with a file as such is reported for a plan and for a readback alike."""


def test_the_small_site_itself_passes(tmp_path: Path) -> None:
    """The site that the other tests change has nothing wrong with it."""
    outcome = small_site(tmp_path).check()

    assert (outcome.code, outcome.stderr) == (0, "")


@BOTH
def test_missing_file(tmp_path: Path, name: str) -> None:
    """A missing file is named."""
    site = small_site(tmp_path)
    (tmp_path / name).unlink()

    assert_refused(site, at=name, says="there is no such file", mend="check the name")


def test_plan_is_a_folder(tmp_path: Path) -> None:
    """Somebody who names the folder of the plan is told to name the file."""
    outcome = run("check", small_site(tmp_path).folder)

    assert outcome.code == 2
    assert outcome.problems == [
        f"{tmp_path.as_posix()}: is a folder, but a file was expected\n"
        "    fix: name the plan in it; or, if it is what was read, name the plan before it"
    ]


def test_readback_in_the_place_of_the_plan(tmp_path: Path) -> None:
    """To add the first line of a plan to it would lead nowhere."""
    site = small_site(tmp_path)
    site.write("found.json", {"devices": [{"tag": "PT-1"}]})

    for readback in (site.readbacks[0], tmp_path / "found.json"):
        (problem,) = run("check", readback, site.plan).problems

        assert "is not a plan" in problem
        assert "if it is what was read, name the plan before it" in problem


def test_folder_without_readbacks(tmp_path: Path) -> None:
    """A folder with nothing to read is not a readback."""
    site = small_site(tmp_path)
    site.write("papers/letter.docx", "Dear colleague")
    site.readbacks[:] = [tmp_path / "papers"]

    assert_refused(site, at="papers", says="contains no readback", mend="CSV, XLSX, ODS, JSON, JSONL or YAML")


@BOTH
def test_no_permission(tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that may not be read is named, with whom to ask."""
    site = small_site(tmp_path)
    forbid(monkeypatch, name)

    assert_refused(
        site, at=name, says="may not be read", mend="ask for read permission, close it in other programs"
    )


def forbid(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """Make a file unreadable, for the superuser as well."""
    read_bytes = Path.read_bytes

    def refuse(path: Path) -> bytes:
        if path.name == name:
            raise PermissionError(13, "Permission denied")
        return read_bytes(path)

    monkeypatch.setattr(Path, "read_bytes", refuse)


@BOTH
@pytest.mark.parametrize("content", [b"", b" \n\n \t\n"], ids=["empty", "blank lines"])
def test_empty_file(tmp_path: Path, name: str, content: bytes) -> None:
    """A file with nothing in it was probably not saved."""
    site = small_site(tmp_path)
    site.write(name, content)

    assert_refused(site, at=name, says="is empty", mend="check that it was saved")


@BOTH
def test_nul_bytes(tmp_path: Path, name: str) -> None:
    """A file with NUL bytes is not text; the line of the first is reported."""
    site = small_site(tmp_path)
    site.write(name, b"first line\nsecond \x00 line\n")

    assert_refused(site, at=f"{name}:2", says="contains NUL bytes", mend="export it again as text")


@BOTH
@pytest.mark.parametrize(
    ("byte", "shown"),
    [(b"\xff", "0xff"), (b"\xfc", "0xfc"), (b"\xc3", "0xc3")],
    ids=["not text at all", "u umlaut of cp1252", "half a character"],
)
def test_not_utf8(tmp_path: Path, name: str, byte: bytes, shown: str) -> None:
    """Text in another encoding is refused with its line, not read as wrong letters."""
    site = small_site(tmp_path)
    site.write(name, b"first line\nZ" + byte + b"rich\n")

    assert_refused(site, at=f"{name}:2", says=f"byte {shown} is not UTF-8", mend="save it as UTF-8")


def test_ten_megabytes_of_junk(tmp_path: Path) -> None:
    """A file of arbitrary bytes is refused at once, with nothing of it echoed."""
    site = small_site(tmp_path).read("found.csv", bytes(range(256)) * 40_000)

    assert_refused(site, at="found.csv:1", says="contains NUL bytes", mend="export it again")


def test_what_is_not_an_ordinary_file_is_not_read(tmp_path: Path) -> None:
    """Reading something that is not an ordinary file might never end."""
    outcome = run("check", small_site(tmp_path).plan, "/dev/zero")

    assert outcome.code == 2
    assert "/dev/zero: is not an ordinary file" in outcome.stderr
    assert_clear(outcome.stderr)


@pytest.mark.parametrize("name", ["found.xls", "found.pdf", "found.docx", "found"])
def test_a_kind_of_file_that_is_not_read(tmp_path: Path, name: str) -> None:
    """A file of another kind is refused, and the kinds that are read are listed."""
    site = small_site(tmp_path).read(name, "anything")

    assert_refused(site, at=name, says="kind of file that is not read", mend=".csv, .tsv, .txt, .xlsx, .ods")


def test_a_form_in_place_of_what_it_exports(tmp_path: Path) -> None:
    """The page holds no readings, whatever it is saved as."""
    site = small_site(tmp_path).read("form.html", "<!doctype html>")

    assert_refused(site, at="form.html", says="is not read (.html)", mend="give the file that it exports")


@BOTH
@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_byte_order_marks_are_understood(tmp_path: Path, name: str, encoding: str) -> None:
    """A file whose first bytes state its encoding is read; spreadsheets write such files."""
    site = small_site(tmp_path)
    site.write(name, (tmp_path / name).read_text(encoding="utf-8").encode(encoding))

    assert site.check().code == 0


@BOTH
def test_windows_line_endings_are_understood(tmp_path: Path, name: str) -> None:
    """Lines may end as they do on Windows."""
    site = small_site(tmp_path)
    site.write(name, (tmp_path / name).read_bytes().replace(b"\n", b"\r\n"))

    assert site.check().code == 0


def test_problems_of_all_readbacks_are_reported_together(tmp_path: Path) -> None:
    """Several bad files are reported in one run, so that nobody has to start again for each."""
    site = small_site(tmp_path)
    site.write("papers/a.csv", "tag,chanel\nN-1,7\n")
    site.write("papers/b.csv", "")
    site.readbacks[:] = [tmp_path / "papers", tmp_path / "none.csv"]

    problems = refusal(site).problems

    assert len(problems) == 3
    assert all(
        name in problem for name, problem in zip(("a.csv:1:B", "b.csv", "none.csv"), problems, strict=True)
    )


# Files in the wrong place


def test_plan_and_readback_swapped(tmp_path: Path) -> None:
    """If the readback is given first, the message says that the plan was expected there."""
    site = small_site(tmp_path)

    outcome = run("check", site.readbacks[0], site.plan)

    assert outcome.code == 2
    assert_clear(outcome.stderr)
    (problem,) = outcome.problems
    assert problem.startswith(f"{tmp_path.as_posix()}/found.csv: ")
    assert "asfound: plan/1" in problem


@pytest.mark.parametrize("option", ["readback", "--rules", "--mapping"])
def test_a_plan_where_another_file_was_expected(tmp_path: Path, option: str) -> None:
    """A file of another kind gives one problem that says what it is, not one for every key."""
    site = small_site(tmp_path)
    arguments: list[str | Path] = [option, site.plan]
    if option == "readback":
        site.readbacks[:] = [site.plan]
        arguments = []

    assert_refused(site, *arguments, at="plan.yaml:1:10", says="'plan/1'", mend="")


@pytest.mark.parametrize("content", ["# nothing yet\n", "to be written\n", "- a\n- b\n"])
def test_yaml_that_is_not_a_plan(tmp_path: Path, content: str) -> None:
    """For a file without any keys, the message says how a plan begins."""
    site = small_site(tmp_path)
    site.write("plan.yaml", content)

    assert_refused(site, at="plan.yaml", says="", mend="asfound: plan/1")


# Arguments


def only_problem(site: SmallSite, *arguments: str | Path) -> str:
    """Return the only problem of a command with wrong arguments, for which there is no file to name."""
    (problem,) = refusal(site, *arguments).problems
    return problem


def test_unknown_gate(tmp_path: Path) -> None:
    """A misspelt gate is quoted with its option, and the nearest gate is named."""
    problem = only_problem(small_site(tmp_path), "--gate", "handoevr")

    assert "--gate" in problem
    assert "unknown gate 'handoevr'\n    fix: nearest: handover" in problem


def test_an_unknown_gate_is_told_those_of_the_command(tmp_path: Path) -> None:
    """The gate of `drift` would be refused as well, so `check` does not offer it."""
    problem = only_problem(small_site(tmp_path), "--gate", "yearly")

    assert problem.endswith("unknown gate 'yearly'\n    fix: known: annual, handover")


@pytest.mark.parametrize(
    "date", ["31.03.2026", "3/31/2026", "2026-02-30", "2026-3-1", "today", "2026-03-31T09:15", ""]
)
def test_bad_date_of_the_run(tmp_path: Path, date: str) -> None:
    """A date in another form is refused, not guessed; an empty one is not taken as today."""
    assert only_problem(small_site(tmp_path), "--on", date) == (
        f"--on {date!r} is not a date\n    fix: write it as 2026-03-31"
    )


def test_bad_source_date_epoch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A SOURCE_DATE_EPOCH that is not a number of seconds is named as such."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    outcome = run("check", small_site(tmp_path).plan)

    assert outcome.code == 2
    assert outcome.problems == [
        "SOURCE_DATE_EPOCH 'yesterday' is not a time\n    fix: give whole seconds since 1970"
    ]


@pytest.mark.parametrize("name", ["result.docx", "result", "plan.yaml"])
def test_unknown_ending_of_out(tmp_path: Path, name: str) -> None:
    """The format follows the ending; an unknown one is refused, even if such a file exists already."""
    problem = only_problem(small_site(tmp_path), "--out", tmp_path / name)

    assert f"--out {tmp_path / name}: no format is known for" in problem
    assert ".json" in problem.partition("fix:")[2]


def test_out_onto_a_readback(tmp_path: Path) -> None:
    """A result never overwrites a file that was read: somebody typed it in."""
    site = small_site(tmp_path)
    (readback,) = site.readbacks
    typed = readback.read_bytes()
    problem = only_problem(site, "--out", readback)

    assert problem.startswith(f"{readback}: not written: it is one of the files that were read\n")
    assert readback.read_bytes() == typed


def test_out_into_a_missing_folder(tmp_path: Path) -> None:
    """A result cannot be written into a folder that does not exist; none is made."""
    target = tmp_path / "none" / "result.json"
    problem = only_problem(small_site(tmp_path), "--out", target)

    assert problem.startswith(f"{target}: cannot be written: its folder does not exist\n")
    assert "check the folder" in problem


def test_out_onto_a_folder(tmp_path: Path) -> None:
    """A folder is not overwritten."""
    site = small_site(tmp_path)
    (tmp_path / "there.json").mkdir()

    assert only_problem(site, "--out", tmp_path / "there.json").startswith(
        f"{tmp_path / 'there.json'}: cannot be"
    )


def test_out_into_a_read_only_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that may not be written to is reported with the system's reason."""
    site = small_site(tmp_path)

    def refuse(*_: Any, **__: Any) -> Any:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("audit.cli.writing.open", refuse, raising=False)

    assert "cannot be written: Permission denied" in only_problem(site)


def test_a_full_disk_leaves_the_old_result(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A result that cannot be written in full leaves the file of the last run as it was."""
    site = small_site(tmp_path)
    old = site.write("result.json", "the result of yesterday")

    def refuse(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)

    assert "cannot be written: No space left on device" in only_problem(site)
    assert old.read_text(encoding="utf-8") == "the result of yesterday"


def test_one_bad_out_of_two_writes_neither(tmp_path: Path) -> None:
    """If one result cannot be written there is no verdict, so the other is not left behind."""
    good, bad = tmp_path / "result.json", tmp_path / "none" / "result.json"

    problem = only_problem(small_site(tmp_path), "--out", good, "--out", bad)

    assert "none/result.json: cannot be written" in problem
