"""Marks of access codes: they let codes be compared across files, sites and years without being kept."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import StringConstraints

from audit.model.base import AnyText, Digest, Name, SettingName, Written
from audit.model.plan import Date


class CodeMark(Written):
    """The mark of the access code that a device had."""

    site: Name
    network: Name
    node: AnyText
    setting: SettingName
    serial: str = ""
    """Identifies the device if it gets another name; blank if it is not known."""
    mark: Digest
    """HMAC-SHA-256 (FIPS 198-1) of the code under the site's key, in hexadecimal digits."""
    first_read_on: Date
    last_read_on: Date


class CodeMarksFile(Written):
    """Marks as they are kept. Without the key nothing can be guessed from them; store the key elsewhere."""

    asfound: Literal["code-marks/1"]
    """Marks the file as marks of access codes, format 1."""
    key_id: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")]
    """Distinguishes one key from another, and reveals nothing about the key."""
    marks: tuple[CodeMark, ...] = ()


@dataclass(frozen=True, slots=True)
class KnownMarks:
    """Marks from other runs, and the day of this one, which stands for the day of undated readings."""

    marks: Sequence[CodeMark]
    day: datetime.date
