"""Entries: readings typed in by hand, one per line of an append-only file (JSON Lines, `.jsonl`)."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, field_validator, model_validator

from audit.model.base import Name, Written

DEVICE_FIELDS = ("serial", "note", "photo")
"""What `setting` may name other than a setting: fields of the device."""

Text = Annotated[str, StringConstraints(max_length=1000)]


class Entry(Written):
    """One reading of one setting of one device, as a person typed it, or a note that it was skipped.

    A value that is read again is a new line: the newest counts, and all remain as evidence. An entry never
    contains an access code, only whether the factory code was refused.
    """

    asfound: Literal["entry/1"]
    """Marks the line as an entry, format 1."""
    site: Text = ""
    """The site's name; must be the same as in the plan."""
    plan_revision: Text = ""
    """Revision of the plan that the reader worked from."""
    network: Text = ""
    """Name of the network."""
    tag: Name
    """The device's tag."""
    setting: Name
    """Name of the setting, or `serial`, `note` or `photo`."""
    value: Text
    """The text as typed. Either a comma or a point is the decimal mark; there is no thousands separator."""
    unit: Text = ""
    """The unit as typed; if empty, the setting's own."""
    read_at: Text = ""
    """When it was read: ISO 8601, for instance 2026-03-31T09:15:02+02:00."""
    read_by: Text = ""
    """Who read it."""
    read_how: Text = ""
    """For instance at the display, on the label, at the gateway, from a photo, witnessed."""
    reading: Annotated[int, Field(ge=1)] = 1
    """How many times this setting of this device has been read in this file, including this reading."""
    skipped: Text | None = None
    """Given where the setting was skipped: the reason, or empty. It withdraws any earlier reading."""

    @field_validator("read_at")
    @classmethod
    def _is_a_time(cls, text: str) -> str:
        if text.strip():
            try:
                datetime.datetime.fromisoformat(text.strip())
            except ValueError:
                message = f"{text[:60]!r} is not a date or time in ISO form"
                raise ValueError(f"{message} -- write it as 2026-03-31T09:15") from None
        return text

    @model_validator(mode="after")
    def _read_or_skipped(self) -> Self:
        if self.skipped is None and not self.value.strip():
            raise ValueError("the value is blank -- write what was read, or add `skipped` with the reason")
        if self.skipped is not None and self.value.strip():
            raise ValueError("it has both a value and `skipped` -- leave one of them out")
        return self
