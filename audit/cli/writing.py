"""Writing results: atomically to files, quietly to a pipe that has closed."""

from __future__ import annotations

import argparse
import os
import re
import stat
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from secrets import token_hex
from typing import TextIO

from audit.disks import COLON_HIDES, reason, synced
from audit.errors import stop
from audit.grouping import grouped
from audit.reading.same_files import folded, same_file
from audit.reporting.formats import Format, by_ending, by_name

_OBEYED = re.compile(
    r"[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]|\x1b(?!\[[0-9;]*m)"
)
"""What a terminal obeys: controls and changes of direction, but not the colours of our own reports."""

MEND = "check the folder, its permissions and the space on the disk, and close the file in other programs"


def form_of(path: str, named: str | None, forms: Sequence[Format]) -> Format:
    """Return the format of an output: by its ending, else as named. Raises InputProblems if there is none."""
    form = by_ending(path, forms)
    if form is None and named:
        return by_name(named, forms)
    if form is None:
        endings = ", ".join(one.endings[0] for one in forms)
        raise stop(
            f"--out {path}: no format is known for its ending", f"end it in {endings}; or give --format"
        )
    return form


def check_target(path: Path) -> None:
    """Raise InputProblems where a file cannot be written, before anything is done."""
    name = path.as_posix()
    if COLON_HIDES and ":" in path.name:
        mend = "leave the colon out of the name"
        raise stop(
            "cannot be written: on Windows, what follows a colon is hidden in another file", mend, file=name
        )
    if path.is_dir():
        raise stop("cannot be written: it is a folder", "name a file in it", file=name)
    if path.exists() and not path.is_file():  # a device; a file would replace it
        raise stop("is not an ordinary file", "name a file on a disk; - is stdout", file=name)
    if path.is_symlink():  # a file would replace it, even if it is /dev/stdout
        raise stop("is a link, and links are not written to", "name the file that it points to", file=name)
    if not path.parent.is_dir():
        raise stop(
            "cannot be written: its folder does not exist", "check the folder, or make it first", file=name
        )
    if not os.access(path.parent, os.W_OK):
        mend = "choose a folder you may write to; a stick may be write-protected"
        raise stop("cannot be written: its folder may not be written to", mend, file=name)


def outputs(args: argparse.Namespace, forms: Sequence[Format]) -> list[tuple[Path, Format]]:
    """Return the files to write, each with its format; `-` is stdout, and no file. Raises InputProblems."""
    files = [(Path(path), form_of(path, args.format, forms)) for path in args.out if path != "-"]
    for path, _ in files:
        check_target(path)
    return files


def keep_apart(paths: Sequence[Path], read: Iterable[str]) -> None:
    """Raise InputProblems where an output would overwrite a file that was read."""
    there = grouped((folded(Path(name)), Path(name)) for name in read)
    for path in paths:
        if any(same_file(path, one) for one in there[folded(path)]):
            raise stop(
                "not written: it is one of the files that were read",
                "give the output another name",
                file=path.as_posix(),
            )


def write_whole(path: Path, content: str | bytes, name: str = "") -> None:
    """Write a file in full or not at all; `name` is what messages call it. Raises InputProblems."""
    write_all([(path, content)], name)


def write_all(files: Iterable[tuple[Path, str | bytes]], name: str = "") -> None:
    """Write files in full, and put none in its place before all are on their disks. Raises InputProblems."""
    drafts: list[tuple[Path, Path]] = []
    try:
        for path, content in files:
            draft = path.with_name(f".{path.name}.{token_hex(6)}")
            drafts.append((draft, path))  # known before it exists, so that it can be removed
            with _told(name or path.as_posix()):
                _write(draft, content, _mode(path))
        for draft, path in drafts:
            with _told(name or path.as_posix()):
                _put(draft, path)
    finally:
        for draft, _ in drafts:
            _remove(draft)


@contextmanager
def _told(name: str) -> Iterator[None]:
    """Raise InputProblems where the system refuses to write a file."""
    try:
        yield
    except OSError as error:
        raise stop(f"cannot be written: {reason(error)}", MEND, file=name) from None


def _write(draft: Path, content: str | bytes, mode: int) -> None:
    """Write a new file with these permissions, and wait until it is on the disk. Raises OSError."""
    with open(draft, "xb", opener=partial(os.open, mode=mode)) as stream:
        stream.write(as_bytes(content))
        stream.flush()
        synced(stream.fileno())


def _put(draft: Path, path: Path) -> None:
    """Put a file in the place of another. Raises OSError."""
    try:
        draft.replace(path)
    except FileExistsError:  # a share that renames no file over another; whatever happens, one of them stays
        aside = draft.with_name(f"{draft.name}.earlier")
        path.rename(aside)
        try:
            draft.rename(path)
        except BaseException:
            aside.rename(path)
            raise
        _remove(aside)


def _mode(path: Path) -> int:
    """Return the permissions of a file: those of the file that it replaces, which may be private.

    They never grant more than other new files do.
    """
    return 0o600 | (stat.S_IMODE(path.stat().st_mode) & 0o066 if path.exists() else 0o066)


def _remove(path: Path) -> None:
    """Remove a file if it is there and its folder may be written to."""
    with suppress(OSError):
        path.unlink(missing_ok=True)


def write_new(path: Path, content: str | bytes) -> None:
    """Write a file in full, unless one of that name exists. Raises InputProblems."""
    name = path.as_posix()
    taken = stop("exists already, and a baseline is never overwritten", "give another name", file=name)
    if path.exists() or path.is_symlink():
        raise taken
    draft = path.with_name(f".{path.name}.{os.getpid()}.draft")
    write_whole(draft, content, name)
    try:
        os.link(draft, path)  # unlike a rename, this never replaces what another program put there meanwhile
    except FileExistsError:
        raise taken from None
    except OSError:  # a disk without links
        if path.exists():
            raise taken from None
        draft.rename(path)
    finally:
        draft.unlink(missing_ok=True)


def write_text(stream: TextIO, text: str) -> None:
    """Write a text to a stream such as stdout, in the stream's own encoding.

    Tables for spreadsheets and machines hold tags as they are; a terminal must not obey what is in them.
    """
    stream.write(_OBEYED.sub(lambda found: f"\\u{ord(found[0]):04x}", text) if stream.isatty() else text)


def write_file(stream: TextIO, content: str | bytes) -> None:
    """Write what a file would hold to a stream such as stdout, byte for byte unless it is a terminal.

    A pipe may have a code page of its own, and JSON or XML in that would be invalid.
    """
    if isinstance(content, str) and (stream.isatty() or not hasattr(stream, "buffer")):
        write_text(stream, content)
        return
    stream.flush()
    stream.buffer.write(as_bytes(content))


def as_bytes(content: str | bytes) -> bytes:
    """Return content as bytes: text in UTF-8, with escapes for what cannot be encoded."""
    return content if isinstance(content, bytes) else content.encode("utf-8", "backslashreplace")
