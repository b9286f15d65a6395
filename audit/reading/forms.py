"""Forms of our own files, such as sample/1: what is said of a file that another version of asfound made."""

from __future__ import annotations

import re
from typing import Any

from audit import __version__

USE_NEWER = "use the newer version of asfound that it was made for"
ONLY_WRITTEN_BY_US = ("result", "baseline", "sample", "code-marks", "entry", "joining-call")
"""Kinds of files that nobody writes by hand, but that a later version of asfound has to read."""
_MARK = re.compile(r"(?:asfound/)?([a-z-]+)/([1-9][0-9]{0,4})")


def kind_and_form(mark: object) -> tuple[str, int]:
    """Return the kind of a file and the number of its form, such as sample and 1; ("", 0) if it has none."""
    found = _MARK.fullmatch(mark) if isinstance(mark, str) else None
    return (found[1], int(found[2])) if found else ("", 0)


def newer_form(mark: object, kind: str) -> str:
    """Return what is wrong with a file of a kind if its form is newer than what is read; blank if it is not.

    Form 1 is read of every kind.
    """
    its, form = kind_and_form(mark)
    if its != kind or form < 2:
        return ""
    known = f"{str(mark).rpartition('/')[0]}/1"
    return f"is in the form {mark!r}, but this version of asfound ({__version__}) reads {known!r}"


def or_newer(data: Any) -> str:
    """Return what else an unknown key in a file may mean; blank if people write such files."""
    kind, _ = kind_and_form(data.get("asfound") if isinstance(data, dict) else None)
    return "; or use the newer version of asfound that wrote it" if kind in ONLY_WRITTEN_BY_US else ""
