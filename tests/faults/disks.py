"""Real disks that are full or read-only: small ones in memory, where they can be mounted."""

from __future__ import annotations

import random
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.faults.commands import Command
from tests.faults.rounds import Fault, Good, fresh, left_over, start, torn, traceback_in

PAGE = 4096
"""The unit in which a disk in memory allots room, in bytes."""


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[Path]:
    """Yield a folder that is a disk of its own. Raises CalledProcessError if that is not allowed."""
    fresh(folder, [])
    subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder], check=True, capture_output=True)
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


def can_mount(folder: Path) -> bool:
    """Return whether disks can be mounted here, which needs Linux and administrator rights."""
    try:
        with mounted(folder, "size=4k"):
            return True
    except (OSError, subprocess.CalledProcessError):
        return False


def full(command: Command, good: Good, folder: Path, chance: random.Random) -> list[str]:
    """Run a command on a disk without room for all that it writes; return what is wrong afterwards."""
    most = max(1, sum(map(len, good.files.values())) // PAGE)
    with mounted(folder, f"size={chance.randint(1, most) * PAGE}"):
        process = start(command, folder)
        _, errors = process.communicate()
        wrong = torn(command, good, folder, kept=False) + left_over(folder, command) + traceback_in(errors)
    if process.returncode not in (2, good.code):
        wrong.append(f"exit code {process.returncode} on a full disk")
    if process.returncode == 2 and b"cannot be written" not in errors:
        wrong.append(f"no message about what could not be written: {errors[-200:]!r}")
    return wrong


def read_only(command: Command, good: Good, folder: Path, chance: random.Random) -> list[str]:
    """Run a command on a read-only disk; return what is wrong afterwards."""
    with mounted(folder, "ro"):
        process = start(command, folder)
        _, errors = process.communicate()
    wrong = traceback_in(errors)
    if process.returncode != 2 or b"cannot be written" not in errors:
        wrong.append(f"exit code {process.returncode} on a read-only disk: {errors[-200:]!r}")
    return wrong


DISKS: dict[str, Fault] = {
    "full disk": full,
    "read-only disk": read_only,
}
