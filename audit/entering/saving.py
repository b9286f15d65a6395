"""The file of entries as it grows: a line a value, written at once, under a lock, and synced to the disk.

Nothing in the file is ever changed or deleted. Several people may write into one file; whoever writes
first reads what the others have written since. What cannot be written in full is removed again, so that the
file holds whole lines only; a torn record that a power failure has left is closed off, and kept.
"""

from __future__ import annotations

import datetime
import json
import os
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

import filelock
from pydantic import ValidationError

from audit.disks import reason, synced
from audit.entering.state import Draft
from audit.errors import InputProblems
from audit.locking import holding, lock_of
from audit.model.entry import Entry
from audit.reading.entries import TORN_MARK, Entries, Key, Line, is_torn, read_entries
from audit.reading.files import FileBytes, read_bytes, whole_characters
from audit.reading.vocabulary import Vocabulary

TICK = datetime.timedelta(milliseconds=1)

Clock = Callable[[], datetime.datetime]


class NotSaved(Exception):  # noqa: N818 -- named for what the person has to know
    """A value is not in the file. The text says why."""


@dataclass(frozen=True, slots=True)
class Signature:
    """What all entries of a session have in common."""

    site: str
    revision: str
    read_by: str


@dataclass
class EntryFile:
    """A file of entries that is written to."""

    path: Path
    words: Vocabulary
    clock: Clock
    taken_in: int = 0
    """How many bytes of the file have been read, up to the end of a line."""
    lines_taken_in: int = 0
    last_line: bytes = b""
    """The last of these lines: where it has changed, the file is not the one that was written to."""
    counts: Counter[Key] = field(default_factory=Counter)
    latest: dict[Key, datetime.datetime] = field(default_factory=dict)
    unreturned: list[Line] = field(default_factory=list)
    """Lines of others that no `append` has returned yet, because its own write then failed."""
    confirmed: bool = True
    """Whether the disk has said of every line that it is there; some network shares cannot."""

    def read(self) -> Entries:
        """Return what the file holds, nothing if it does not exist. Raises InputProblems."""
        if not self.path.exists():
            return Entries(self.path.as_posix(), (), ())
        return self._take_in(read_bytes(self.path).data)

    def append(self, draft: Draft, signature: Signature) -> list[Line]:
        """Write a line, and return it after those that others have written since. Raises NotSaved."""
        try:
            self._is_new()  # before a lock is made: it would stay in the folder that a stick was mounted on
            with lock_of(self.path):
                return self._append(draft, signature)
        except filelock.Timeout as error:
            raise NotSaved(holding(error)) from None
        except InputProblems as error:
            problem = error.problems[0]
            raise NotSaved(f"somebody has damaged the file: {problem.place()}: {problem.message}") from None
        except ValidationError as error:
            what = error.errors()[0]
            raise NotSaved(f"{what['loc'][0]} cannot be written to the file: {what['msg']}") from None
        except OSError as error:
            raise NotSaved(self._reason(error)) from None

    def _reason(self, error: OSError) -> str:
        """Return why the system refused, and which file unless it is this one: its lock is hidden."""
        why = reason(error)
        name = Path(str(error.filename or "")).name
        return f"{why}: {name}" if name not in ("", self.path.name) else why

    def _append(self, draft: Draft, signature: Signature) -> list[Line]:
        new = self._is_new()
        flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)
        handle = os.open(self.path, flags, 0o666)
        try:
            rest = self._catch_up(handle)
            torn = bool(rest) and is_torn(rest, ended=False)
            unfinished = self._numbered(rest).lines if rest and not torn else ()
            closing = (TORN_MARK.encode() if torn else b"") + (b"\n" if rest else b"")
            entry = self._entry(draft, signature)
            line = Line(self.lines_taken_in + 1 + bool(rest), entry, draft.name)
            self.confirmed &= _write_whole(handle, closing + as_line(entry))
        finally:
            os.close(handle)
            if new and not self.path.stat().st_size:  # `check` of its folder would stop at it
                self.path.unlink()
        if new:
            _sync_folder(self.path.parent)
        self.taken_in += len(rest) + len(closing) + len(as_line(entry))
        self.lines_taken_in, self.last_line = line.number, as_line(entry)
        self._count(line)
        lines, self.unreturned = [*self.unreturned, *unfinished, line], []
        return lines

    def _is_new(self) -> bool:
        """Return whether the file is still to be made. Raises NotSaved where it was there and has gone."""
        new = not self.path.exists()
        if new and self.taken_in:
            raise NotSaved("the file is no longer there")
        return new

    def _catch_up(self, handle: int) -> bytes:
        """Take in the lines that others have written, and return the unfinished one after them, if any."""
        size = os.fstat(handle).st_size
        if size < self.taken_in:
            raise NotSaved("the file is shorter than it was: another program has changed it")
        known = self.taken_in - len(self.last_line)
        os.lseek(handle, known, os.SEEK_SET)
        tail = os.read(handle, size - known) if size > known else b""
        if not tail.startswith(self.last_line):  # a program that syncs folders has put somebody else's here
            message = f"another program has replaced the file, whose line {self.lines_taken_in} has changed"
            raise NotSaved(f"{message}: look for a copy with your readings beside it, and start again")
        tail = tail[len(self.last_line) :]
        whole, newline, rest = tail.rpartition(b"\n")
        self.unreturned += self._take_in(whole + newline).lines
        return rest

    def _take_in(self, data: bytes) -> Entries:
        """Read a part of the file that begins where the last one ended, and count what it holds."""
        entries = self._numbered(data)
        whole = data[: data.rfind(b"\n") + 1]
        self.taken_in += len(whole)
        self.lines_taken_in += whole.count(b"\n")
        self.last_line = whole[whole.rfind(b"\n", 0, -1) + 1 :] or self.last_line
        for line in entries.lines:
            self._count(line)
        return entries

    def _numbered(self, data: bytes) -> Entries:
        """Return the entries of a part of the file, numbered as lines of the file."""
        before = self.lines_taken_in
        try:
            found = read_entries(FileBytes(self.path.as_posix(), self.path, data, ""), self.words)
        except InputProblems as error:
            raise InputProblems(replace(p, line=p.line and p.line + before) for p in error.problems) from None
        lines = tuple(replace(line, number=line.number + before) for line in found.lines)
        warnings = tuple(replace(problem, line=problem.line + before) for problem in found.warnings)
        return Entries(found.file, lines, warnings)

    def _count(self, line: Line) -> None:
        key = line.entry.network, line.entry.tag, line.name
        self.counts[key] += line.entry.skipped is None
        if when := aware(line.entry.read_at):
            self.latest[key] = max(when, self.latest.get(key, when))

    def _entry(self, draft: Draft, signature: Signature) -> Entry:
        """Return a draft as an entry: numbered, and later than any earlier reading of its setting."""
        key = draft.device.network, draft.device.tag, draft.name
        now = self.clock()
        if (earlier := self.latest.get(key)) and earlier >= now:
            now = (earlier + TICK).astimezone(now.tzinfo)
        texts = {
            "site": signature.site, "plan_revision": signature.revision, "network": draft.device.network,
            "tag": draft.device.tag, "setting": draft.name, "value": draft.value, "unit": draft.unit,
            "read_by": signature.read_by, "read_how": draft.how,
        }  # fmt: skip
        texts = {name: whole_characters(text) for name, text in texts.items()}
        skipped = None if draft.skipped is None else whole_characters(draft.skipped)
        return Entry(asfound="entry/1", **texts, read_at=now.isoformat(timespec="milliseconds"),
                     reading=self.counts[key] + 1, skipped=skipped)  # fmt: skip


def as_line(entry: Entry) -> bytes:
    """Return an entry as a line of the file."""
    data = entry.model_dump(exclude_none=True)
    return json.dumps(data, ensure_ascii=False).encode() + b"\n"


def aware(text: str) -> datetime.datetime | None:
    """Return the time of an entry, None if it has none; without an offset it is taken as local time."""
    try:
        return datetime.datetime.fromisoformat(text.strip()).astimezone()
    except (
        ValueError,
        OverflowError,
        OSError,
    ):  # blank, or out of range: on Windows, before 1970
        return None


def _write_whole(handle: int, data: bytes) -> bool:
    """Write and sync, or leave the file as it was; return whether the disk confirms it. Raises OSError."""
    size = os.fstat(handle).st_size
    try:
        left = memoryview(data)
        while left:  # once, unless the disk is full: then the second attempt says why
            left = left[os.write(handle, left) :]
        return synced(handle)
    except OSError:
        with suppress(OSError):
            os.ftruncate(handle, size)
        raise


def _sync_folder(folder: Path) -> None:
    """Make sure that a new file's name is on the disk, where folders can be synced."""
    if os.name == "posix":
        with suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
