"""Being asked to end: it is done, whatever the loop that waits for keys makes of it."""

from __future__ import annotations

import signal
import subprocess
import sys

import pytest

STUBBORN = """
import contextlib, time
from audit.entering.consoles import ended_by_signals

def wait():
    for _ in range(600):  # a signal just ahead of one long sleep would be seen only behind it
        time.sleep(0.1)

with ended_by_signals():
    with contextlib.suppress(KeyboardInterrupt):
        print("ready", flush=True)
        wait()
    wait()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="these signals are POSIX's")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_loop_that_swallows_the_interrupt_ends_all_the_same(number: signal.Signals) -> None:
    """A process that waits for a terminal that is gone would keep its file of entries locked."""
    process = subprocess.Popen([sys.executable, "-c", STUBBORN], stdout=subprocess.PIPE)
    assert process.stdout
    process.stdout.readline()

    process.send_signal(number)

    assert process.wait(timeout=30) == 130
    process.stdout.close()
