"""Baselines from their files. One that has been altered since it was sealed is refused."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import ValidationError

from audit.errors import InputProblems, Problem, stop
from audit.model.baseline import BaselineFile, Content
from audit.phrases import as_argument, typed
from audit.reading.documents import build, parse_json
from audit.reading.files import FileBytes, decode, read_bytes
from audit.reading.forms import USE_NEWER, newer_form, or_newer
from audit.reading.marks import Document
from audit.reading.moments import moment

HEAD = b'{\n"asfound":"baseline/1",\n"content":'
"""The start of every baseline file."""
_ANY_HEAD = re.compile(rb'{\n"asfound":"(baseline/[0-9]+)",\n"content":')
BEHIND_CONTENT = b',\n"parts":{'
"""What follows the content; its last occurrence counts, so that no network or tag is mistaken for it."""

SEALED_FILE = "use the file that was sealed"


@dataclass(frozen=True, slots=True)
class ReadBaseline:
    """A baseline and its file."""

    file: FileBytes
    baseline: BaselineFile

    @property
    def name(self) -> str:
        """What reports call the file."""
        return self.file.name


def read_baseline(path: Path) -> ReadBaseline:
    """Return the baseline in a file, if its content is as it was sealed. Raises InputProblems.

    Neither the signature nor the chain is checked; `asfound seal --verify` does that.
    """
    file = read_bytes(path, in_folder="name first a file that `asfound seal` has written, then any readback")
    refuse_newer(file)
    end = file.data.rfind(BEHIND_CONTENT)
    if not file.data.startswith(HEAD) or end < 0:
        raise _not_a_baseline(file)
    try:
        baseline = BaselineFile.model_validate_json(file.data)
    except ValidationError:
        raise InputProblems(_problems(file)) from None
    content = file.data[len(HEAD) : end].replace(b"\n", b"")
    if hashlib.sha256(content).hexdigest() != baseline.sha256:
        raise stop("was altered after it was sealed", _shows_where(file), file=file.name)
    if unfit := _unfit(baseline.content):
        raise stop(f"cannot be as it was sealed: {unfit}", SEALED_FILE, file=file.name)
    return ReadBaseline(file, baseline)


def refuse_newer(file: FileBytes) -> None:
    """Raise InputProblems if a file is a baseline in a form that only newer versions read."""
    head = _ANY_HEAD.match(file.data)
    if head and (message := newer_form(head[1].decode(), "baseline")):
        raise stop(message, USE_NEWER, file=file.name)


def _shows_where(file: FileBytes) -> str:
    return f"`{typed('asfound', 'seal', '--verify', as_argument(file.name))}` shows where; {SEALED_FILE}"


def _unfit(content: Content) -> str:
    """Return what no readback can contain: whoever alters a baseline can recalculate its digests as well."""
    devices = [device for its in content.devices.values() for device in its.values()]
    if {network.name for network in content.networks} != content.devices.keys():
        return "its list of networks and the networks of its devices do not agree"
    if not {device.type for device in devices} <= {kind.name for kind in content.device_types}:
        return "it does not contain the type of one of its devices"
    try:
        for text in {device.read_at for device in devices}:
            moment(text)
    except ValueError:
        return "the `read_at` of one of its devices is not a date or time"
    return ""


def _not_a_baseline(file: FileBytes) -> InputProblems:
    """Return what to say of a file that does not start as baselines do."""
    text = decode(file)
    if '"baseline/1"' not in text[:200] and b"\r\n" not in file.data[:60]:
        return stop("is not a baseline", "give a file written by `asfound seal`", file=file.name)
    mend = _shows_where(file)
    if b"\r\n" in file.data[:60]:
        mend = "its line ends were changed: keep baselines unchanged (`*.json -text` in .gitattributes)"
    return stop("was altered after it was sealed", mend, file=file.name)


def _problems(file: FileBytes) -> list[Problem]:
    """Return what is wrong with a baseline that its model does not accept; nobody mends one by hand."""
    newer = or_newer({"asfound": "baseline/1"})
    try:
        build(Document(file.name, parse_json(decode(file), file.name)), BaselineFile, "baseline")
    except InputProblems as error:
        return [replace(one, mend=SEALED_FILE + (newer if one.mend.endswith(newer) else ""))
                for one in error.problems]  # fmt: skip
    return list(stop("is damaged", SEALED_FILE, file=file.name).problems)
