"""The command line: what each exit code means, wrong usage, help and version."""

from __future__ import annotations

import io
import os
import shlex
import shutil
import sys
from importlib import import_module
from importlib.metadata import version
from pathlib import Path

import pytest

from audit import run as stages
from audit.__main__ import main as start
from audit.cli import main
from audit.errors import InputProblems
from tests.cli.sites import ROOT, with_a_finding
from tests.small_site import NAME, run, small_site

STAGES = ["read_plan", "rulebook", "read_readback", "pair", "compare_all", "check", "fold", "judge"]
"""The stages of a run, by the names under which audit/run.py knows them."""


# Exit codes


def test_0_is_nothing_at_or_above_the_gate(tmp_path: Path) -> None:
    """A site that is as planned passes."""
    outcome = small_site(tmp_path).check()

    assert outcome.code == 0
    assert outcome.stdout.startswith(f"PASS  {NAME}")


def test_1_is_findings_at_or_above_the_gate(tmp_path: Path) -> None:
    """A site with an error fails."""
    outcome = with_a_finding(tmp_path).check()

    assert outcome.code == 1
    assert outcome.stdout.startswith(f"FAIL  {NAME}")


def test_2_is_no_verdict(tmp_path: Path) -> None:
    """A file that cannot be read gives no verdict: no report, and no mention of pass or fail."""
    site = with_a_finding(tmp_path)
    site.plan.unlink()

    outcome = site.check()

    assert (outcome.code, outcome.stdout) == (2, "")
    assert outcome.stderr.endswith("asfound: no verdict: 1 problem in the input\n")


WRONG_USAGE = [
    pytest.param(["--quiet"], "unknown: --quiet; the options of a command follow it", id="no command"),
    pytest.param(["audit"], "unknown command 'audit'; ", id="unknown command"),
    pytest.param(["chek"], "unknown command 'chek'; nearest: check, schema", id="misspelt command"),
    pytest.param([__file__], f"no command before '{__file__}'; known: check, plan, ", id="a file first"),
    pytest.param(["--verson"], "asfound: unknown: --verson; nearest: --version", id="misspelt version"),
    pytest.param(["check"], "PLAN", id="no plan"),
    pytest.param(
        ["check", "plan.yaml", "--fromat=json"],
        "asfound check: unknown: --fromat=json; nearest: --format",
        id="misspelt option",
    ),
    pytest.param(["check", "plan.yaml", "--xyz"], "asfound check: unknown: --xyz", id="unknown option"),
    pytest.param(["check", "plan.yaml", "--fail-on", "fatal"], "invalid choice: 'fatal'", id="unknown level"),
    pytest.param(["check", "plan.yaml", "--color", "red"], "invalid choice: 'red'", id="unknown colour"),
    pytest.param(
        ["check", "plan.yaml", "--width", "wide"], "'wide' is not a whole number", id="width in words"
    ),
    pytest.param(["check", "plan.yaml", "--width", "-5"], "-5", id="width below nothing"),
    pytest.param(["check", "plan.yaml", "--out"], "--out", id="option without its value"),
    pytest.param(["rules", "one", "two"], "asfound rules: unknown: two", id="one argument too many"),
    *(
        pytest.param(
            [*command, "S\udce4mple"],
            "'S\\udce4mple' is not in UTF-8",
            id=f"{command[-1]} not UTF-8",
        )
        for command in (
            ["seal", "plan.yaml", "found.csv", "--signed-by"],
            ["enter", "plan.yaml", "new.jsonl", "--by"],
            ["sample", "plan.yaml", "--seed"],
        )
    ),
]


@pytest.mark.parametrize(
    ("number", "more", "in_all"),
    [(51, "1 more problem", "51 problems"), (1053, "1,003 more problems", "1,053 problems")],
)
def test_only_the_first_of_many_problems_are_told(
    number: int, more: str, in_all: str, tmp_path: Path
) -> None:
    """With how many there are in all: nobody reads to the end of a list of hundreds."""
    unknown = "".join(f"x_{n}: 1, " for n in range(number))
    outcome = small_site(tmp_path).replace("{address: 11}", f"{{{unknown}address: 11}}").check()

    assert outcome.stderr.count("unknown setting") == 50
    assert outcome.stderr.endswith(f"… and {more}\nasfound: no verdict: {in_all} in the input\n")


@pytest.mark.parametrize(("arguments", "says"), WRONG_USAGE)
def test_2_is_wrong_usage(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    says: str,
) -> None:
    """On wrong usage stderr says what is wrong and how the command is used."""
    small_site(tmp_path)
    monkeypatch.chdir(tmp_path)

    with pytest.raises(SystemExit) as stopped:
        run(*arguments)

    told = capsys.readouterr()
    assert stopped.value.code == 2
    assert told.out == ""
    message, mend = told.err.splitlines()
    assert message.startswith("asfound")
    assert says in message
    assert "nearest: --" not in message.removesuffix("nearest: --format").removesuffix("nearest: --version")
    assert mend.startswith("    fix: `asfound")


def test_2_is_no_command_at_all(capsys: pytest.CaptureFixture[str]) -> None:
    """The name alone prints the help on stderr, since it is not a report."""
    with pytest.raises(SystemExit) as stopped:
        run()

    told = capsys.readouterr()
    assert (stopped.value.code, told.out) == (2, "")
    assert told.err == main.parser().format_help()


def test_options_may_stand_anywhere(tmp_path: Path) -> None:
    """Options between the plan and the readbacks are options, and the readbacks still readbacks."""
    site = with_a_finding(tmp_path)

    outcome = run("check", site.plan, "--gate", "annual", *site.readbacks)

    assert outcome.code == 1
    assert "channel-differs" in outcome.stdout


@pytest.mark.parametrize("stage", STAGES)
def test_2_is_an_internal_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stage: str) -> None:
    """A fault of our own gives no verdict and no traceback, and nothing is written."""
    site = small_site(tmp_path)
    before = site.files()

    def fault(*_: object, **__: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(stages, stage, fault)
    outcome = site.check("--out", tmp_path / "result.json")

    assert (outcome.code, outcome.stdout) == (2, "")
    assert outcome.stderr == (
        "asfound: internal fault, no verdict: ZeroDivisionError (use --debug to see where)\n"
    )
    assert site.files() == before


class Panic(BaseException):
    """What a Rust library raises when it panics."""


@pytest.mark.parametrize("error", [Panic(), ValueError(), InputProblems([])])
@pytest.mark.parametrize(("signals", "code", "says"), [([], 2, "no verdict"), ([15], 143, "interrupted")])
def test_panics(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, signals: list[int], code: int, says: str, error: Panic
) -> None:
    """A panic is an internal fault; a library's own error after a signal counts as an interruption."""

    def fault(*_: object, **__: object) -> None:
        main._signals.extend(signals)
        raise error

    site = small_site(tmp_path)
    monkeypatch.setattr(stages, "fold", fault)

    outcome = site.check()

    assert (outcome.code, outcome.stdout) == (code, "")
    assert says in outcome.stderr


def test_a_signal_ends_the_program_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the handler of the signal raises is not taken for a fault."""
    site = small_site(tmp_path)
    monkeypatch.setattr(stages, "pair", lambda *_: sys.exit(143))

    with pytest.raises(SystemExit) as stopped:
        site.check()

    assert stopped.value.code == 143


def test_debug_shows_where_a_fault_happened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --debug the fault is raised unchanged."""
    site = small_site(tmp_path)

    def fault(*_: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(stages, "pair", fault)

    with pytest.raises(ZeroDivisionError):
        site.check("--debug")


@pytest.mark.parametrize("stage", STAGES)
def test_130_is_interrupted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stage: str) -> None:
    """Ctrl-C in any stage ends the run with one line, and nothing is written."""
    site = small_site(tmp_path)
    before = site.files()

    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(stages, stage, interrupt)
    outcome = site.check("--out", tmp_path / "result.json")

    assert (outcome.code, outcome.stdout) == (130, "")
    assert outcome.stderr == "\ninterrupted; nothing was decided\n"
    assert site.files() == before


def test_interrupted_while_it_is_still_loading(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An interruption right after the start is reported too, without the names of our files."""

    def interrupt() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(sys, "argv", ["asfound", "check"])
    monkeypatch.setattr("audit.cli.main.main", interrupt)

    with pytest.raises(SystemExit) as left:
        start()

    assert left.value.code == 130
    assert capsys.readouterr().err == "\ninterrupted; nothing was decided\n"


def test_interrupted_while_writing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while a result is written leaves neither half of it nor a temporary file."""
    site = small_site(tmp_path)
    before = site.files()

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)

    assert site.check("--out", tmp_path / "result.json").code == 130
    assert site.files() == before


# Help


@pytest.mark.parametrize("command", [[], *([name] for name in main.COMMANDS)])
def test_help_exits_0(capsys: pytest.CaptureFixture[str], command: list[str]) -> None:
    """Help was asked for, so it is not a failure; every command shows examples and exit codes."""
    with pytest.raises(SystemExit) as stopped:
        run(*command, "--help")

    told = capsys.readouterr()
    assert (stopped.value.code, told.err) == (0, "")
    assert told.out.startswith("usage: asfound")
    assert not command or "examples:\n  asfound " + command[0] in told.out
    assert not command or "exit codes:\n  0  " in told.out
    assert "{.,,}" not in told.out  # which mark is which


@pytest.mark.parametrize("name", main.COMMANDS)
def test_every_example_of_the_help_runs(monkeypatch: pytest.MonkeyPatch, name: str, tmp_path: Path) -> None:
    """The examples in the help work when typed, if the files that they name are ours."""
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO())  # for `enter`, which then has no answers
    module = import_module(f"audit.cli.{name}")
    lines = [
        shlex.split(line.split(" > ")[0])
        for line in module.EXAMPLES.splitlines()
        if line.startswith("  asfound ")
    ]
    ours = [words[1:] for words in lines if all(Path(word).exists() for word in words if "/" in word)]
    ours = [words for words in ours if any("examples/" in word for word in words) or not words[1:]]

    assert ours
    assert {run(*words).code for words in ours} <= {0, 1}


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    """--version names the program and the version that was installed."""
    with pytest.raises(SystemExit) as stopped:
        run("--version")

    assert stopped.value.code == 0
    assert capsys.readouterr().out == f"asfound {version('asfound')}\n"


def test_what_was_typed_is_shown_as_a_terminal_may_show_it(capsys: pytest.CaptureFixture[str]) -> None:
    """A file name that a shell has filled in may contain what a terminal obeys."""
    with pytest.raises(SystemExit):
        run("rules", "--\x1b[2J")

    assert r"asfound rules: unknown: --\u001b[2J" in capsys.readouterr().err
