"""Runs one program and prints wall and processor time in seconds, peak memory in MB, exit code, as JSON.

It is a small process of its own, because the system counts the memory that a program's parent used at
its start as the program's own.
"""

from __future__ import annotations

import json
import os
import sys
import time

ONE_MB = 1_000_000 if sys.platform == "darwin" else 1_000
"""What the peak is divided by: macOS gives it in bytes, other systems in kilobytes."""


def main(command: list[str]) -> None:
    """Run a command with its output thrown away, and print what it took."""
    away = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    started = time.perf_counter()
    process = os.posix_spawn(command[0], command, os.environ, file_actions=away)
    _, status, used = os.wait4(process, 0)
    seconds = time.perf_counter() - started
    exit_code = os.waitstatus_to_exitcode(status)
    took = {"seconds": seconds, "cpu": used.ru_utime + used.ru_stime, "mb": used.ru_maxrss / ONE_MB}
    sys.stdout.write(json.dumps({**took, "exit": exit_code}))


if __name__ == "__main__":
    main(sys.argv[1:])
