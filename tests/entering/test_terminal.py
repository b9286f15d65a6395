"""The program at a terminal: driven key by key through a pseudo-terminal of 80 columns and 24 rows."""

from __future__ import annotations

import json
import os
import random
import re
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.sites import ROOT
from tests.entering.talks import AS_PLANNED, talking_site
from tests.small_site import SmallSite, run

pexpect = pytest.importorskip("pexpect")
if os.name != "posix":
    pytest.skip("pseudo-terminals are a matter of POSIX", allow_module_level=True)

_ESCAPES = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]")
PROMPT_BEGINS = "\x1b[?2004h"
SECONDS = 60
"""How long a busy machine may take to answer."""


class Terminal:
    """A running `asfound enter`, and what is on its screen."""

    def __init__(self, site: SmallSite, *options: str, **environment: str) -> None:
        self.dumb = environment.get("TERM") == "dumb"
        # The shell shows the exit code, and the terminal settings that the program has left.
        command = f'"{sys.executable}" -m audit enter "$0" "$1" "$@"; echo "exit code $?"; stty -a'
        command = command.replace('"$@"', " ".join(f"'{option}'" for option in options))
        self.child = pexpect.spawn(
            "/bin/sh", ["-c", command, str(site.plan), str(site.folder / "e.jsonl")],
            dimensions=(24, 80), encoding="utf-8", timeout=SECONDS, cwd=str(ROOT),
            env={**os.environ, "TERM": "xterm", **environment},
        )  # fmt: skip

    def type(self, prompt: str, keys: str) -> str:
        """Wait for a prompt, type after it, and return what was shown before it."""
        shown = ""
        if not self.dumb:  # a prompt is redrawn with each key; this shows where a new one begins
            self.child.expect_exact(PROMPT_BEGINS)
            shown = self.child.before
        self.child.expect_exact(f"{prompt}>")
        shown = _ESCAPES.sub("", shown + self.child.before)
        self.child.send(keys)
        return shown

    def answer(self, prompt: str, text: str) -> str:
        """Wait for a prompt, answer it, and return what was shown before it."""
        return self.type(prompt, text + "\r")

    def ended(self) -> tuple[int, str]:
        """Return the exit code and what was shown at the end. The terminal has to be as it was."""
        self.child.expect(r"exit code (\d+)")
        shown, code = _ESCAPES.sub("", self.child.before), int(self.child.match[1])
        self.child.expect(pexpect.EOF)
        settings = re.split(r"[\s;]+", self.child.before)
        assert {"echo", "icanon", "isig"} <= set(settings), "the terminal was left in disorder"
        self.child.close()
        return code, shown

    def program(self) -> int:
        """Return the process that runs under the shell."""
        children = Path(f"/proc/{self.child.pid}/task/{self.child.pid}/children")
        return int(children.read_text().split()[0])


@pytest.fixture
def site(tmp_path: Path) -> SmallSite:
    """Return a site with a display to read."""
    return talking_site(tmp_path)


@pytest.fixture
def terminal(site: SmallSite) -> Iterator[Terminal]:
    """Return a terminal with nothing typed yet."""
    started = Terminal(site, "--by", "R. Sample")
    yield started
    started.child.close(force=True)


def entries(site: SmallSite) -> list[dict[str, Any]]:
    """Return what was saved."""
    path = site.folder / "e.jsonl"
    return (
        [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()] if path.exists() else []
    )


ROUNDS = int(os.environ.get("ASFOUND_KILLS", "5"))
HANGING = """
import sys, time, tty
from audit.entering.consoles import ended_by_signals

with ended_by_signals(lambda: None):
    tty.setraw(sys.stdin)
    print("ready", flush=True)
    for _ in range(600):  # a signal just before one long sleep would be seen only after it
        time.sleep(0.1)
"""
PROMPTS = ("serial", "CH", "NET ID", "URV", "UNIT", "LOCK", "joined_gateway")


def test_a_device_from_end_to_end(site: SmallSite, terminal: Terminal) -> None:
    """Tag, every setting in the order of the display, and /quit; check reads it as planned."""
    assert "Only read." in terminal.answer("node", "N-1")
    for prompt, value in zip(PROMPTS, AS_PLANNED, strict=True):
        terminal.answer(prompt, value)
    assert "N-1 is done: 7 settings." in terminal.answer("node", "/quit")

    code, shown = terminal.ended()

    assert code == 0
    assert "Start again with it to go on." in " ".join(shown.split())
    assert [entry["value"] for entry in entries(site)] == list(AS_PLANNED)
    assert "6 read as planned, 0 differ" in run("check", site.plan, site.folder / "e.jsonl").stdout


def test_every_value_is_saved_before_the_next_is_asked_for(site: SmallSite, terminal: Terminal) -> None:
    """When a prompt appears, everything typed before it is in the file."""
    terminal.answer("node", "N-1")
    for count, (prompt, value) in enumerate(zip(PROMPTS, AS_PLANNED, strict=True)):
        terminal.type(prompt, "")
        assert len(entries(site)) == count
        terminal.child.send(value + "\r")
    terminal.answer("node", "/quit")


def test_a_difference_is_read_again(site: SmallSite, terminal: Terminal) -> None:
    """It says that the value differs and which slip is likely, and keeps both readings."""
    terminal.answer("node", "N-1")
    terminal.answer("serial", "100001")
    terminal.answer("CH", "18")
    told = terminal.answer("CH again", "17")
    after = terminal.answer("NET ID", "/quit")

    assert "18 differs from the plan." in told
    assert "Likely slip: one digit is one step off" in told
    assert "Both readings are kept, and this one counts." in after
    assert [(entry["value"], entry["reading"]) for entry in entries(site)[1:]] == [("18", 1), ("17", 2)]


def test_skip_back_note_photo_and_keep(site: SmallSite, terminal: Terminal) -> None:
    """The commands work as typed."""
    terminal.answer("node", "N-2")
    terminal.answer("serial", "/skip label torn off")
    terminal.answer("CH", "/back")
    terminal.answer("serial", "100002")
    terminal.answer("CH", "/note display flickers")
    terminal.answer("CH", "/photo IMG_0012.jpg")
    terminal.answer("CH", "41")
    assert "/keep records it" in " ".join(terminal.answer("CH", "/keep").split())
    terminal.answer("CH again", "")
    terminal.answer("NET ID", "/quit")

    assert terminal.ended()[0] == 0
    assert [(entry["setting"], entry["value"], entry.get("skipped")) for entry in entries(site)] == [
        ("serial", "", "label torn off"),
        ("serial", "100002", None),
        ("note", "display flickers", None),
        ("photo", "IMG_0012.jpg", None),
        ("channel", "41", None),
    ]


def test_quit_and_go_on(site: SmallSite, terminal: Terminal) -> None:
    """Another run asks for the first open setting."""
    terminal.answer("node", "N-1")
    terminal.answer("serial", "100001")
    terminal.answer("CH", "/quit")
    terminal.ended()

    second = Terminal(site)
    assert "The file holds 1 line: 0 of 4 devices done, 1 begun." in second.answer("name", "P. Other")
    second.answer("node", "N-1")
    second.answer("CH", "17")
    second.type("NET ID", "\x04")  # Ctrl-D

    assert second.ended()[0] == 0
    assert [entry["read_by"] for entry in entries(site)] == ["R. Sample", "P. Other"]


@pytest.mark.parametrize("how", ["keys", "SIGTERM", "SIGHUP"])
def test_interrupted(site: SmallSite, terminal: Terminal, how: str) -> None:
    """Ctrl-C, and a request to end, lose the value being typed, and leave the terminal in order."""
    terminal.answer("node", "N-1")
    terminal.answer("serial", "100001")
    terminal.type("CH", "1")
    if how == "keys":
        terminal.child.sendcontrol("c")
    else:
        os.kill(terminal.program(), getattr(signal, how))

    code, shown = terminal.ended()

    assert code == 130
    assert "interrupted; everything typed before is saved in" in shown
    assert [entry["value"] for entry in entries(site)] == ["100001"]


def test_told_to_end_at_any_moment(tmp_path: Path) -> None:
    """While drawing, reading keys or saving: no traceback is shown, and the terminal is in order."""
    chance = random.Random(4)
    for round_ in range(ROUNDS):
        (tmp_path / str(round_)).mkdir()
        site = talking_site(tmp_path / str(round_))
        terminal = Terminal(site, "--by", "R. Sample")
        terminal.answer("node", "N-1")
        terminal.answer("serial", "100001")
        terminal.answer("CH", chance.choice(("1", "17\r")))
        time.sleep(chance.uniform(0, 0.05))

        os.kill(terminal.program(), chance.choice((signal.SIGTERM, signal.SIGHUP, signal.SIGINT)))

        code, shown = terminal.ended()
        assert code == 130
        assert "interrupted; everything typed before is saved in" in shown
        assert "Traceback" not in shown
        assert [entry["value"] for entry in entries(site)][:1] == ["100001"]


def test_a_program_that_hangs_leaves_the_terminal_in_order() -> None:
    """If nothing obeys the request to end, the program is ended after a moment, and echo is on again."""
    terminal = Terminal.__new__(Terminal)
    terminal.child = pexpect.spawn(
        "/bin/sh", ["-c", '"$0" -c "$1"; echo "exit code $?"; stty -a', sys.executable, HANGING],
        encoding="utf-8", timeout=SECONDS, cwd=str(ROOT),
    )  # fmt: skip
    terminal.child.expect_exact("ready")

    os.kill(terminal.program(), signal.SIGTERM)

    assert terminal.ended()[0] == 130


def test_a_terminal_that_is_closed_loses_nothing(site: SmallSite, terminal: Terminal) -> None:
    """The window may be closed at any moment."""
    terminal.answer("node", "N-1")
    terminal.answer("serial", "100001")
    terminal.type("CH", "1")

    terminal.child.close(force=True)

    assert [entry["value"] for entry in entries(site)] == ["100001"]


def test_tab_completes_tags_and_options(site: SmallSite, terminal: Terminal) -> None:
    """Part of a tag and TAB give the tag; the same goes for options and commands."""
    terminal.type("node", "gw\t\r")
    terminal.answer("serial", "900001")
    terminal.answer("CH", "/no\tN-1")  # /no is the beginning of /note and /node, so it stays
    terminal.type("CH", "/ne\t\r")
    terminal.type("network", "\t\r")
    terminal.type("node", "N-3\r")
    terminal.type("serial", "/q\t\r")

    assert terminal.ended()[0] == 0
    assert [(entry["tag"], entry["value"]) for entry in entries(site)] == [("GW-1", "900001")]


def test_a_window_that_changes_its_size_is_no_problem(site: SmallSite, terminal: Terminal) -> None:
    """Narrow, wide and tiny, while a value is being typed."""
    terminal.answer("node", "N-1")
    terminal.type("serial", "1000")
    for rows, columns in ((5, 20), (50, 200), (2, 10), (24, 80)):
        terminal.child.setwinsize(rows, columns)
        terminal.child.send("0\x7f")  # a digit, and backspace
    terminal.child.send("01\r")
    terminal.answer("CH", "/quit")

    assert terminal.ended()[0] == 0
    assert [entry["value"] for entry in entries(site)] == ["100001"]


def test_what_is_typed_is_not_remembered(site: SmallSite, terminal: Terminal) -> None:
    """Arrow up brings nothing back: a value from another device is too easily reused."""
    terminal.answer("node", "N-1")
    terminal.answer("serial", "100001")
    terminal.answer("CH", "17")
    terminal.answer("NET ID", "/node N-2")
    terminal.type("serial", "\x1b[A\r")

    assert "nothing was typed" in terminal.answer("serial", "/quit")


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}, {}], ids=str)
def test_no_colour_is_needed(site: SmallSite, environment: dict[str, str]) -> None:
    """No colour is ever sent, and the plainest terminal will do."""
    terminal = Terminal(site, "--by", "R. Sample", **environment)
    seen: list[str] = []
    terminal.child.logfile_read = type("Log", (), {"write": seen.append, "flush": lambda: None})
    terminal.answer("node", "N-1")
    terminal.answer("serial", "100009")
    terminal.answer("serial again", "/quit")

    assert terminal.ended()[0] == 0
    assert not re.search(r"\x1b\[[0-9;]*(3|4|9|10)[0-9]m", "".join(seen))
    assert len(entries(site)) == 1


def test_every_screen_fits_eighty_columns(site: SmallSite, terminal: Terminal) -> None:
    """No line is wider than the terminal."""
    shown = [
        terminal.answer("node", "/help"),
        terminal.answer("node", "/list"),
        terminal.answer("node", "N-1"),
    ]
    shown.append(terminal.answer("serial", "100002"))
    shown.append(terminal.answer("serial", "/keep"))
    shown.append(terminal.answer("serial again", "/quit"))

    lines = [line for text in shown for line in text.splitlines() if "/e.jsonl" not in line]
    assert max(map(len, lines)) <= 80
