"""Rounds: a command is run, something goes wrong, and what it leaves behind is examined."""

from __future__ import annotations

import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.cli.sites import ROOT
from tests.faults.commands import Command

SOFT = (signal.SIGINT, signal.SIGTERM)
SIGNALS = (signal.SIGKILL, *SOFT)
OLD = b"what stood here before\n"


@dataclass(frozen=True)
class Good:
    """What a command does when nothing goes wrong."""

    code: int
    seconds: float
    files: dict[str, bytes]


def start(command: Command, folder: Path) -> subprocess.Popen[bytes]:
    """Return the command as a process that writes into a folder.

    It keeps no compiled modules (-B): without room they would be cut short, and later processes would fail.
    """
    words = [str(folder / word[1:]) if word.startswith("@") else word for word in command.words]
    return subprocess.Popen(
        [sys.executable, "-B", "-m", "audit", *words], cwd=ROOT, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )  # fmt: skip


def undisturbed(command: Command, folder: Path) -> Good:
    """Return what the command does when it is left alone."""
    folder.mkdir()
    begun = time.monotonic()
    process = start(command, folder)
    _, errors = process.communicate()
    assert all((folder / name).exists() for name in command.outputs()), errors.decode()
    files = {name: (folder / name).read_bytes() for name in command.outputs()}
    return Good(process.returncode, time.monotonic() - begun, files)


def killed(command: Command, good: Good, folder: Path, chance: random.Random) -> list[str]:
    """Send a signal at a random moment, and return what is wrong afterwards."""
    how = chance.choice(SIGNALS)
    kept = chance.random() < 0.5 and command.name not in ("seal", "sheet", "form", "why")
    fresh(folder, command.outputs() if kept else [])
    process = start(command, folder)
    time.sleep(chance.uniform(0, good.seconds * 1.05))
    process.send_signal(how)
    _, errors = process.communicate()
    wrong = torn(command, good, folder, kept=kept)
    if how in SOFT and not before_the_program(errors):
        wrong += left_over(folder, command)
        if process.returncode not in (good.code, 130, 143, -how):
            wrong.append(f"exit code {process.returncode} after {how.name}")
    return wrong + traceback_in(errors)


def without_room(command: Command, good: Good, folder: Path, chance: random.Random) -> list[str]:
    """Let no file grow beyond a few bytes, and return what is wrong afterwards."""
    room = chance.randrange(1, min(map(len, good.files.values())))
    fresh(folder, [])
    process = start(command, folder)
    resource.prlimit(process.pid, resource.RLIMIT_FSIZE, (room, room))  # long before it writes
    _, errors = process.communicate()
    wrong = torn(command, good, folder, kept=False) + left_over(folder, command) + traceback_in(errors)
    if process.returncode != 2:
        wrong.append(f"exit code {process.returncode} where there was no room")
    if b"cannot be written" not in errors:
        wrong.append(f"no message about what could not be written: {errors[-200:]!r}")
    return wrong


def nobody_reads(command: Command, good: Good, folder: Path, chance: random.Random) -> list[str]:
    """Close the pipe that the command prints to, at a random byte, and return what is wrong afterwards."""
    fresh(folder, [])
    process = start(command, folder)
    assert process.stdout
    assert process.stderr
    process.stdout.read(chance.randrange(0, 200))
    process.stdout.close()
    errors = process.stderr.read()
    process.stderr.close()
    process.wait()
    wrong = torn(command, good, folder, kept=False) + left_over(folder, command) + traceback_in(errors)
    if process.returncode not in (good.code, 141, 2):
        wrong.append(f"exit code {process.returncode} where nobody read")
    return wrong


def nowhere_to_write(command: Command, good: Good, folder: Path, chance: random.Random) -> list[str]:
    """Name a file as the folder to write into, and return what is wrong afterwards."""
    fresh(folder, [])
    place = folder / "file"
    place.write_bytes(OLD)
    process = start(command, place)
    _, errors = process.communicate()
    wrong = traceback_in(errors)
    if process.returncode != 2:
        wrong.append(f"exit code {process.returncode} where nothing could be written")
    if place.read_bytes() != OLD:
        wrong.append("the file in place of the folder was changed")
    return wrong


Fault = Callable[[Command, Good, Path, random.Random], list[str]]
"""Runs a command into a fault, in a folder, and returns what is wrong afterwards."""

FAULTS: dict[str, Fault] = {
    "killed": killed,
    "no room": without_room,
    "nobody reads": nobody_reads,
    "no folder": nowhere_to_write,
}


def fresh(folder: Path, old: list[str]) -> None:
    """Make a folder afresh, with old files in it."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name in old:
        (folder / name).write_bytes(OLD)


def torn(command: Command, good: Good, folder: Path, *, kept: bool) -> list[str]:
    """Return the outputs that are neither whole, nor absent, nor what was there before."""
    wrong = []
    for name, whole in good.files.items():
        path = folder / name
        content = path.read_bytes() if path.exists() else None
        allowed = [whole, OLD] if kept else [whole, None]
        part = command.grows and content is not None and whole.startswith(content)
        if content not in allowed and not part:  # a file that grows may end within a line
            wrong.append(f"{name} is torn: {len(content or b'')} of {len(whole)} bytes")
    return wrong


def left_over(folder: Path, command: Command) -> list[str]:
    """Return what a command has left behind other than its outputs."""
    return [
        f"{name} was left over"
        for name in sorted(path.name for path in folder.iterdir())
        if name not in command.outputs()
    ]


def before_the_program(errors: bytes) -> bool:
    """Return whether an interrupt came while Python itself was starting, which handles it in its own way."""
    return b"KeyboardInterrupt" in errors and bytes(ROOT / "audit") not in errors


def traceback_in(errors: bytes) -> list[str]:
    """Return the traceback that a command has printed, if any."""
    if errors.startswith(b"Exception ignored in: <function _get_module_lock"):
        return []  # an interrupt in the lock of Python's own imports, which only Python can handle
    failed = b"Traceback" in errors and not before_the_program(errors)
    return [f"a traceback: {errors[-300:]!r}"] if failed else []
