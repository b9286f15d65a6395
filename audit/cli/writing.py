"""Writing results: atomically to files, quietly to a pipe that has closed."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from audit.errors import nearest, stop

FORMATS = {".json": "json"}
"""File name ending → format."""


def format_of(path: str) -> str:
    """Return the format that a file name asks for. Raises InputProblems for an unknown one."""
    ending = Path(path).suffix.lower()
    if ending not in FORMATS:
        raise stop(f"--out {path}: no format is known for the ending {ending!r}", nearest(ending, FORMATS))
    return FORMATS[ending]


def check_target(path: Path) -> None:
    """Raise InputProblems where a file cannot be written, before anything is done."""
    name = path.as_posix()
    if path.is_dir():
        raise stop("cannot be written: it is a folder", "name a file in it", file=name)
    if not path.parent.is_dir():
        raise stop(
            "cannot be written: its folder is not there", "check the folder, or make it first", file=name
        )
    if not os.access(path.parent, os.W_OK):
        raise stop("cannot be written: Permission denied", "choose a folder you may write to", file=name)


def write_whole(path: Path, text: str) -> None:
    """Write a file so that it is there in full or not at all. Raises InputProblems."""
    name = path.as_posix()
    mend = "check the folder, its permissions and the space on the disk"
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    except OSError as error:
        raise stop(f"cannot be written: {error.strerror}", mend, file=name) from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        _as_usual(temporary)
        Path(temporary).replace(path)
    except OSError as error:
        Path(temporary).unlink(missing_ok=True)
        raise stop(f"cannot be written: {error.strerror}", mend, file=name) from None
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _as_usual(temporary: str) -> None:
    """Give the file the permissions that a newly made one has; temporary files are private."""
    if os.name == "posix":
        mask = os.umask(0)
        os.umask(mask)
        Path(temporary).chmod(0o666 & ~mask)
