"""What a disk may lack: sticks and network shares do not offer all that a computer's own disk does."""

from __future__ import annotations

import errno
import os

NOT_OFFERED = frozenset(
    {errno.EINVAL, errno.ENOSYS, errno.ENOLCK, getattr(errno, "ENOTSUP", 0), getattr(errno, "EOPNOTSUPP", 0)}
)
"""How systems say that a disk does not offer something, rather than that it failed."""

COLON_HIDES = os.name == "nt"
"""Whether `8:15.jsonl` is a hidden part of a file `8`, which is lost when that file is copied to a stick."""


def synced(handle: int) -> bool:
    """Wait until a file is on its disk, and return whether the disk says so: some shares cannot.

    Raises OSError where it failed.
    """
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in NOT_OFFERED:
            raise
        return False
    return True


def reason(error: OSError) -> str:
    """Return why the system refused to write a file, in words."""
    if error.errno == errno.EINVAL:  # "Invalid argument", which says nothing to anybody
        return 'the disk does not take this name (leave out : ? * " < > | and a dot or space at its end)'
    return error.strerror or type(error).__name__
