"""Locking: several processes change one file one after the other, so that none undoes what another did."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import filelock

from audit.disks import NOT_OFFERED

SECONDS = 10.0
"""How long another process may hold a file."""
POLL = 0.005
"""Seconds between two attempts to get the lock."""
STANDING_IN = ".held"
"""The ending of a file that stands in for a lock."""


@contextmanager
def lock_of(path: Path) -> Iterator[None]:
    """Hold the lock beside a file while it is changed. Raises filelock.Timeout, OSError.

    Its name begins with a dot, so that no folder reads it. On a network share without locks, a file that
    exists while the lock is held stands in for it.
    """
    lock: filelock.BaseFileLock = filelock.FileLock(
        path.with_name(f".{path.name}.lock"), timeout=SECONDS, poll_interval=POLL, fallback_to_soft=False
    )
    try:
        lock.acquire()
    except OSError as error:
        if error.errno not in NOT_OFFERED:
            raise
        with suppress(OSError):  # it was made before the disk refused to lock it, and would stay for ever
            Path(lock.lock_file).unlink(missing_ok=True)
        file = path.with_name(f".{path.name}{STANDING_IN}")
        lock = filelock.SoftFileLock(file, timeout=SECONDS, poll_interval=POLL)
        lock.acquire()
    try:
        yield
    finally:
        lock.release()


def holding(timeout: filelock.Timeout) -> str:
    """Return what to say of a file that stayed locked.

    A file that stands in for a lock stays behind when its computer fails, and other computers cannot know it.
    """
    name = Path(timeout.lock_file).name
    left = f"; if none is, delete {name} beside it" if name.endswith(STANDING_IN) else ""
    return f"another program is holding the file{left}"
