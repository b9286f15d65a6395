"""Power loss in miniature: the program is really killed at a random moment, again and again.

Whatever was acknowledged, by asking for the next value, is in the file; at most the value being typed is
lost. ASFOUND_KILLS=200 makes more rounds.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.cli.sites import ROOT
from tests.entering.talks import Talk

ROUNDS = int(os.environ.get("ASFOUND_KILLS", "5"))
NOTES = 2000
"""More than are written before the program is killed."""


def answers() -> Iterator[str]:
    """Yield what is typed: a device, and then numbered notes."""
    yield "N-1"
    for k in range(NOTES):
        yield f"/note {k} " + "x" * (k * 37 % 500)


def killed_after(talk: Talk, seconds: float, how: signal.Signals) -> int:
    """Type until the program is killed, and return how many notes it has acknowledged."""
    process = subprocess.Popen(
        [sys.executable, "-m", "audit", "enter", talk.site.plan, talk.path, "--by", "R. Sample"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, cwd=ROOT, text=True,
    )  # fmt: skip
    assert process.stdin
    assert process.stdout
    acknowledged = 0
    timer = threading.Timer(seconds, process.send_signal, [how])
    with suppress(BrokenPipeError, StopIteration):
        for text in answers():
            process.stdin.write(text + "\n")
            process.stdin.flush()
            if text == "N-1":
                next(line for line in process.stdout if line.startswith("node> "))
                timer.start()  # from here on it writes
                continue
            for line in process.stdout:
                if line.startswith("  Saved as a note"):
                    acknowledged += 1
                    break
            else:
                break
    timer.cancel()
    process.kill()
    process.wait()
    process.stdout.close()
    with suppress(BrokenPipeError):
        process.stdin.close()
    return acknowledged


@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM", "SIGINT"])
def test_what_was_acknowledged_is_in_the_file(tmp_path: Path, how: str) -> None:
    """Killed at any moment, the file holds every acknowledged value, and at most one more.

    A system may stop in the middle of writing a line where it is killed: that value was not acknowledged.
    """
    if not hasattr(signal, how) or (how == "SIGINT" and os.name != "posix"):
        pytest.skip("no such signal can be sent here")
    chance = random.Random(how)
    talk = Talk(tmp_path)
    before = torn = 0
    for _ in range(ROUNDS if how == "SIGKILL" else max(2, ROUNDS // 10)):
        acknowledged = killed_after(talk, chance.uniform(0, 0.2), getattr(signal, how))

        lines = talk.open().read()
        notes = [line.entry.value for line in lines.lines]
        unfinished = len(lines.warnings) - torn
        assert 0 <= unfinished <= (how == "SIGKILL")
        if unfinished:
            assert lines.warnings[-1].line == len(talk.path.read_bytes().splitlines())
        assert acknowledged <= len(notes) - before <= acknowledged + 1
        assert [note.split()[0] for note in notes[before:]] == [str(k) for k in range(len(notes) - before)]
        assert [line.entry.reading for line in lines.lines] == list(range(1, len(notes) + 1))
        before, torn = len(notes), len(lines.warnings)
    assert before, "not a single value was written, so nothing was tested"
