"""Distrust: the reasons not to trust a sealed file, each with the byte where it shows."""

from __future__ import annotations

from dataclasses import dataclass

from audit.model.baseline import BaselineFile, Content
from audit.reading.files import FileBytes

MOST_SHOWN = 24
"""Characters of a file that are shown on each side of a difference."""


@dataclass(frozen=True, slots=True)
class Distrust:
    """A reason not to trust a file, and the first byte that it is about."""

    message: str
    offset: int
    """In bytes from the start of the file, counted from 0."""
    line: int
    column: int
    """In characters, counted from 1."""
    stands: str = ""
    expected: str = ""
    """What an unaltered file would have there, if that can be said."""


@dataclass(frozen=True, slots=True)
class Verified:
    """A file, its baseline as far as it can be read, and the reasons not to trust it."""

    file: FileBytes
    baseline: BaselineFile | None
    distrust: tuple[Distrust, ...]
    computed: str = ""
    """The digest of its content as it is now."""

    @property
    def name(self) -> str:
        """What reports call the file."""
        return self.file.name

    @property
    def content(self) -> Content | None:
        """What was sealed; None if the file is no baseline."""
        return self.baseline.content if self.baseline else None


class FileText:
    """A file's text, to say where in it something is."""

    def __init__(self, file: FileBytes) -> None:
        self.data = file.data
        self.text = file.data.decode("utf-8", "replace")

    def at(self, offset: int, message: str, stands: str = "", expected: str = "") -> Distrust:
        """Return a distrust at a byte."""
        before = self.data[:offset]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        return Distrust(message, offset, line, column, stands, expected)

    def at_line(self, line: int, message: str, expected: str = "") -> Distrust:
        """Return a distrust at the first byte of a line, counted from 1."""
        lines = self.data.split(b"\n")
        offset = sum(len(one) + 1 for one in lines[: line - 1])
        stands = shown(lines[line - 1].decode("utf-8", "replace")) if line <= len(lines) else ""
        return self.at(offset, message, stands, expected)

    def at_value(self, name: str, wanted: str, message: str) -> Distrust:
        """Return a distrust at the first character of a text member that is not as wanted.

        If `wanted` is empty, it is the first character of the value, and nothing is expected.
        """
        start = self.after(name) + 1
        stands = self.data[start : start + 64].decode("utf-8", "replace").partition('"')[0]
        same = agreeing(stands, wanted)
        return self.at(start + same, message, shown(stands[same:]), shown(wanted[same:]) if wanted else "")

    def after(self, name: str) -> int:
        """Return where the value of the last member of a name begins, which comes after all devices."""
        mark = f'"{name}":'.encode()
        return self.data.rfind(mark) + len(mark)


def agreeing(one: str, other: str) -> int:
    """Return how many characters two texts have in common at the beginning."""
    return next(
        (i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )


def shown(text: str) -> str:
    """Return the beginning of a text as reports quote it."""
    return repr(text[:MOST_SHOWN].partition("\n")[0] or text[:1]) if text else "the end of the file"
