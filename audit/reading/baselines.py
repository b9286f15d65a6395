"""Baselines from their files. One that was altered since it was sealed is refused."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from audit.errors import InputProblems, Problem, stop
from audit.model.baseline import BaselineFile, Content
from audit.reading.documents import build, parse_json
from audit.reading.files import FileBytes, decode, read_bytes
from audit.reading.marks import Document
from audit.reading.moments import moment

HEAD = b'{\n"asfound":"baseline/1",\n"content":'
"""How a baseline begins."""
BEHIND_CONTENT = b',\n"parts":{'
"""What follows the content; last in the file, so that no network or tag is taken for it."""


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
    """Return the baseline of a file whose content is what was sealed. Raises InputProblems.

    Neither signature nor chain are looked at; `asfound seal --verify` does that.
    """
    file = read_bytes(path)
    end = file.data.rfind(BEHIND_CONTENT)
    if not file.data.startswith(HEAD) or end < 0:
        raise _no_baseline(file)
    try:
        baseline = BaselineFile.model_validate_json(file.data)
    except ValidationError:
        raise InputProblems(_problems(file)) from None
    content = file.data[len(HEAD) : end].replace(b"\n", b"")
    if hashlib.sha256(content).hexdigest() != baseline.sha256:
        mend = f"`asfound seal --verify {file.name}` tells where; take the file that was sealed"
        raise stop("was altered after it was sealed", mend, file=file.name)
    if unfit := _unfit(baseline.content):
        raise stop(f"was not sealed so: {unfit}", "take the file that was sealed", file=file.name)
    return ReadBaseline(file, baseline)


def _unfit(content: Content) -> str:
    """Return what cannot be of a readback: whoever alters a baseline can make its digests anew, too."""
    devices = [device for its in content.devices.values() for device in its.values()]
    if {network.name for network in content.networks} != content.devices.keys():
        return "its networks and those of its devices are not the same"
    if not {device.type for device in devices} <= {kind.name for kind in content.device_types}:
        return "a device is of a type that it does not hold"
    try:
        for text in {device.read_at for device in devices}:
            moment(text)
    except ValueError:
        return "a device was read at what is no date or time"
    return ""


def _no_baseline(file: FileBytes) -> InputProblems:
    """Return what to say of a file that does not begin as baselines do."""
    text = decode(file)
    if '"baseline/1"' not in text[:200] and b"\r\n" not in file.data[:60]:
        return stop("is no baseline", "give a file that `asfound seal` has written", file=file.name)
    mend = f"`asfound seal --verify {file.name}` tells where; take the file that was sealed"
    if b"\r\n" in file.data[:60]:
        mend = "its line ends were changed: keep baselines as they are (`*.json -text` in .gitattributes)"
    return stop("was altered after it was sealed", mend, file=file.name)


def _problems(file: FileBytes) -> list[Problem]:
    """Return what is wrong with a baseline that its model does not take."""
    try:
        build(Document(file.name, parse_json(decode(file), file.name)), BaselineFile, "baseline")
    except InputProblems as error:
        return list(error.problems)
    return list(stop("is damaged", "take the file that was sealed", file=file.name).problems)
