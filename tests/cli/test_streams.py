"""What goes to which stream, and what happens when a stream, a pipe or a disk fails."""

from __future__ import annotations

import errno
import io
import os
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any, NoReturn

import pytest

from audit.cli import main
from tests.cli.sites import ROOT, in_a_process, with_a_finding
from tests.cli.terminals import Terminal
from tests.small_site import NAME, node, run, small_site

SHELL = pytest.mark.skipif(os.name != "posix", reason="needs a shell and the devices of POSIX")


def test_findings_go_to_stdout_alone(tmp_path: Path) -> None:
    """Findings are results, not complaints: stderr stays empty."""
    outcome = with_a_finding(tmp_path).check()

    assert "channel-differs" in outcome.stdout
    assert outcome.stderr == ""


def test_quiet_prints_nothing_but_problems(tmp_path: Path) -> None:
    """With --quiet the exit code gives the verdict; the result is still written, problems are reported."""
    site = with_a_finding(tmp_path)

    quiet = site.check("--quiet", "--out", tmp_path / "result.json")
    assert (quiet.code, quiet.written) == (1, "")
    assert (tmp_path / "result.json").is_file()

    site.plan.unlink()
    assert "there is no such file" in site.check("--quiet").stderr


def test_a_result_is_replaced_whole(tmp_path: Path) -> None:
    """The result of the last run is replaced by that of this run, with the usual permissions."""
    site = small_site(tmp_path)
    out = site.write("result.json", "old" * 100_000)

    site.check("--out", out)

    assert out.read_text(encoding="utf-8").startswith(
        '{\n  "schema": "asfound/result/1",\n  "verdict": "pass"'
    )
    assert out.stat().st_mode & 0o777 == 0o666 & ~_umask()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def test_progress_is_shown_on_a_terminal_and_wiped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A long run shows its stage on stderr, and leaves the line empty at its end."""
    clock = iter(range(1000))
    monkeypatch.setattr("time.monotonic", lambda: next(clock))
    site, stderr = small_site(tmp_path), Terminal()

    main.run(["check", str(site.plan), "--quiet"], io.StringIO(), stderr)

    shown = stderr.getvalue()
    assert "\x1b[Kreading the plan …" in shown
    assert shown.endswith("\r\x1b[K")


def test_progress_is_wiped_before_a_problem_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A problem begins on a clean line."""
    clock = iter(range(1000))
    monkeypatch.setattr("time.monotonic", lambda: next(clock))
    stderr = Terminal()

    main.run(["check", str(tmp_path / "none.yaml")], io.StringIO(), stderr)

    assert f"\r\x1b[K{tmp_path.as_posix()}/none.yaml: there is no such file" in stderr.getvalue()


# Streams that do not take it


@pytest.mark.parametrize(
    "arguments", [["check", "plan.yaml", "found.csv", "--all"], ["rules"], ["rules", "--roles"], ["--help"]]
)
def test_a_closed_pipe(tmp_path: Path, arguments: list[str]) -> None:
    """A reader that closes the pipe, as `head` does, causes no traceback."""
    with_a_finding(tmp_path)
    reading, writing = os.pipe()
    os.close(reading)

    done = in_a_process(*arguments, cwd=tmp_path, stdout=writing)
    os.close(writing)

    assert (done.returncode, done.stderr) == (2, "")


def test_a_closed_pipe_of_windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """There it is reported as an invalid argument, which is not a fault of the report."""

    class Closed(io.StringIO):
        def flush(self) -> NoReturn:
            raise OSError(errno.EINVAL, "Invalid argument")

    ended = io.StringIO()
    monkeypatch.setattr(main, "_to_nowhere", lambda _: ended.write("ended"))
    stderr = io.StringIO()

    code = main.run(["check", str(small_site(tmp_path).plan)], Closed(), stderr)

    assert (code, stderr.getvalue(), ended.getvalue()) == (2, "", "ended")


def test_another_invalid_argument_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault that has nothing to do with the report must still be reported."""

    def failing(*_: object) -> NoReturn:
        raise OSError(errno.EINVAL, "Invalid argument")

    monkeypatch.setattr("audit.cli.rules.run", failing)

    outcome = run("rules")

    assert outcome.code == 2
    assert "Invalid argument" in outcome.stderr


@SHELL
def test_head_gets_the_verdict(tmp_path: Path) -> None:
    """`| head -1` prints the verdict, and nothing on stderr."""
    site = with_a_finding(tmp_path)
    command = shlex.join([sys.executable, "-m", "audit", "check", str(site.plan), *map(str, site.readbacks)])

    done = subprocess.run(["sh", "-c", f"{command} | head -1"], capture_output=True, text=True, check=False)

    assert (done.stdout, done.stderr) == (f"FAIL  {NAME}, plan revision A\n", "")


def test_a_full_disk_behind_stdout(tmp_path: Path) -> None:
    """If a report cannot be written, the system's reason is given, and it is not an internal fault."""

    class Full(io.StringIO):
        def flush(self) -> None:
            raise OSError(28, "No space left on device")

    site = small_site(tmp_path)
    stderr = io.StringIO()

    code = main.run(["check", str(site.plan)], Full(), stderr)

    assert code == 2
    assert "No space left on device" in stderr.getvalue()
    assert "internal fault" not in stderr.getvalue()


@SHELL
@pytest.mark.parametrize("form", ["text", "json"])
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_disk_that_takes_only_a_part(tmp_path: Path, form: str, unbuffered: str) -> None:
    """A report that breaks off is no report; containers often set PYTHONUNBUFFERED, which hides the error."""
    site = with_a_finding(tmp_path)
    command = shlex.join([sys.executable, "-m", "audit", "check", str(site.plan), "--format", form])

    done = subprocess.run(["sh", "-c", f"ulimit -f 1; {command} > cut"], capture_output=True, text=True,
                          check=False, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT),
                                                          "PYTHONUNBUFFERED": unbuffered})  # fmt: skip

    assert (done.returncode, done.stderr) == (2, "asfound: the report cannot be written: File too large\n")


@SHELL
@pytest.mark.parametrize(
    "end", ["2>/dev/full", "2>&-", "2>&1 | true", ">&-"], ids=["full", "closed", "gone", "stdout closed"]
)
def test_no_verdict_stays_none_where_nothing_can_be_said(tmp_path: Path, end: str) -> None:
    """A missing file is exit code 2, never the 1 of findings, wherever the message goes to."""
    site = with_a_finding(tmp_path)
    command = shlex.join([sys.executable, "-m", "audit", "check", str(site.plan), str(tmp_path / "none.csv")])

    done = subprocess.run(["bash", "-c", f"{command} {end}; exit ${{PIPESTATUS[0]}}"], capture_output=True,
                          text=True, check=False)  # fmt: skip

    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "internal fault" not in done.stderr


@SHELL
def test_a_version_that_cannot_be_written(tmp_path: Path) -> None:
    """No traceback where stdout accepts nothing."""
    done = in_a_process("--version", cwd=tmp_path, stdout=os.open("/dev/full", os.O_WRONLY))

    assert (done.returncode, done.stderr) == (2, "")


@SHELL
@pytest.mark.parametrize("arguments", [["--help"], ["check", "--help"]])
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_help_that_cannot_be_written(tmp_path: Path, arguments: list[str], unbuffered: str) -> None:
    """It is told as for any other text; Python's own code for it would be 120."""
    full = os.open("/dev/full", os.O_WRONLY)
    done = in_a_process(*arguments, cwd=tmp_path, stdout=full, PYTHONUNBUFFERED=unbuffered)
    os.close(full)

    reason = "asfound: the report cannot be written: No space left on device\n"
    assert (done.returncode, done.stderr) == (2, reason)


@pytest.mark.skipif(os.name != "posix", reason="a name that is too long is not there on Windows")
def test_a_file_that_may_not_be_looked_at_is_named(tmp_path: Path) -> None:
    """If the system objects to a file name, the message names the file and does not blame the report."""
    site = with_a_finding(tmp_path)
    name = "a" * 300 + ".csv"
    stderr = io.StringIO()

    code = main.run(["check", str(site.plan), name], io.StringIO(), stderr)

    assert code == 2
    assert f"{name}: cannot be read" in stderr.getvalue()
    assert ": File name too long" in stderr.getvalue()


@pytest.mark.parametrize("command", ["summary", "history"])
def test_a_folder_that_may_not_be_read_is_not_an_empty_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """What it holds is unknown, so the message does not say that it is empty."""

    def locked(folder: Path) -> NoReturn:
        raise PermissionError(errno.EACCES, "Permission denied", str(folder))

    monkeypatch.setattr(Path, "iterdir", locked)
    outcome = run(command, tmp_path)

    assert outcome.code == 2
    assert f"{tmp_path}: cannot be read or written: Permission denied" in outcome.stderr


def test_a_terminal_without_our_characters(tmp_path: Path) -> None:
    """A terminal that cannot show every character gets escapes."""
    site = small_site(tmp_path, found={"N-2": {"network_id": "Müll→"}})

    done = in_a_process("check", site.plan, *site.readbacks, PYTHONIOENCODING="ascii")

    assert (done.returncode, done.stderr) == (1, "")
    assert r"M\xfcll\u2192" in done.stdout


def test_a_terminal_does_not_obey_tags_in_a_table(tmp_path: Path) -> None:
    """A sheet keeps tags unchanged, since they have to come back; on a terminal they are escaped."""
    tag = "N\x1b]0;title\x07\x9b2J\u202e-1"
    site, stdout = small_site(tmp_path, nodes=[{**node(1), "tag": tag}]), Terminal()

    main.run(["sheet", str(site.plan), "--format", "csv"], stdout, io.StringIO())

    assert r"N\u001b]0;title\u0007\u009b2J\u202e-1" in stdout.getvalue()
    assert tag in run("sheet", site.plan, "--format", "csv").stdout


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a system with named pipes")
def test_no_device_is_replaced_by_a_file(tmp_path: Path) -> None:
    """With `--out /dev/null` the superuser would turn it into an ordinary file, for all programs."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)

    outcome = small_site(tmp_path).check("--format", "json", "--out", pipe)

    assert outcome.code == 2
    assert "is not an ordinary file" in outcome.stderr
    assert pipe.is_fifo()


def test_an_earlier_result_is_not_written_over(tmp_path: Path) -> None:
    """It was read: --since and --out may not name the same file."""
    site = small_site(tmp_path)
    earlier = tmp_path / "r.json"
    site.check("--out", earlier, "--quiet", "--on", "2026-03-01")
    before = earlier.read_bytes()

    outcome = site.check("--since", earlier, "--out", earlier, "--on", "2026-03-02")

    assert (outcome.code, earlier.read_bytes()) == (2, before)


@pytest.mark.parametrize("command", ["summary", "history"])
def test_quiet_and_out_to_stdout_keep_the_width(command: str) -> None:
    """`--quiet --out -` prints what is printed without them."""
    what = {"summary": "examples/ostervik/earlier.json", "history": "examples/pellmoor/baselines"}[command]

    plain, asked = (
        run(command, ROOT / what, "--width", "50", *more).stdout for more in ((), ("--quiet", "--out", "-"))
    )

    assert plain == asked


@pytest.mark.parametrize("command", ["sheet", "sample"])
def test_the_next_command_can_be_typed_as_it_stands(tmp_path: Path, command: str) -> None:
    """Folders may have blanks in their names."""
    folder = tmp_path / "my site"
    folder.mkdir()
    site = small_site(folder)
    options: dict[str, list[Any]] = {
        "sheet": ["--out", folder / "s.xlsx"],
        "sample": ["--confidence", "95", "--defective", "40", "--seed", "1", "--out", folder / "s.json",
                   "--width", "500"],
    }  # fmt: skip

    outcome = run(command, site.plan, *options[command])

    assert f'asfound check "{site.plan.as_posix()}" ' in outcome.stdout
