"""Locking: several processes change one file one after the other, so that none undoes what another did."""

from __future__ import annotations

from pathlib import Path

import filelock

SECONDS = 10.0
"""How long another process may hold a file."""
POLL = 0.005
"""Seconds between two attempts to get the lock."""


def lock_of(path: Path) -> filelock.BaseFileLock:
    """Return the lock beside a file, to hold while it is changed. Raises filelock.Timeout, OSError when held.

    Its name begins with a dot, so that no folder reads it.
    """
    return filelock.FileLock(path.with_name(f".{path.name}.lock"), timeout=SECONDS, poll_interval=POLL)
