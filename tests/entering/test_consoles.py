"""A request to end is obeyed, whatever the loop that waits for keys makes of it."""

from __future__ import annotations

import io
import signal
import subprocess
import sys

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from audit.entering.consoles import PlainConsole, TerminalConsole, shown


def test_a_path_that_is_longer_than_a_line_stays_whole() -> None:
    """So that it can be copied."""
    path = "/folder" * 10

    assert shown([f"  Saved in {path}."], 40).splitlines() == ["  Saved in", f"    {path}."]


def test_what_is_asked_and_answered_through_a_pipe_is_shown() -> None:
    """So that a log reads as a talk."""
    out = io.StringIO()
    console = PlainConsole(io.StringIO("17\n"), out)

    assert console.read("CH> ") == "17"
    assert out.getvalue() == "CH> 17\n"


STUBBORN = """
import contextlib, time
from audit.entering.consoles import ended_by_signals

def wait():
    for _ in range(600):  # a signal just before one long sleep would be seen only after it
        time.sleep(0.1)

def end():
    raise KeyboardInterrupt

with ended_by_signals(end):
    with contextlib.suppress(KeyboardInterrupt):
        print("ready", flush=True)
        wait()
    wait()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="these signals are POSIX's")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_loop_that_swallows_the_interrupt_ends_all_the_same(name: str) -> None:
    """A process that waits for a terminal that is gone would keep its file of entries locked."""
    process = subprocess.Popen([sys.executable, "-c", STUBBORN], stdout=subprocess.PIPE)
    assert process.stdout
    process.stdout.readline()

    process.send_signal(getattr(signal, name))

    assert process.wait(timeout=30) == 130
    process.stdout.close()


def test_a_prompt_is_left_by_who_is_told_to_end() -> None:
    """If told to end before the prompt, it does not wait; a line typed by then would be accepted."""
    with create_pipe_input() as keys, create_app_session(input=keys, output=DummyOutput()):
        console = TerminalConsole(io.StringIO())
        keys.send_text("17\n")
        assert console.read("CH> ") == "17"

        console.end()

        with pytest.raises(KeyboardInterrupt):
            console.read("NET ID> ")
