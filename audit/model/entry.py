"""Entries: readings typed by hand, one a line of a file that only ever grows (JSON Lines, `.jsonl`)."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, field_validator, model_validator

from audit.model.base import Name, Written

DEVICE_FIELDS = ("serial", "note", "photo")
"""What `setting` can name besides settings: fields of the device."""

Text = Annotated[str, StringConstraints(max_length=1000)]


class Entry(Written):
    """One reading of one setting of one device, as a person typed it, or the skipping of it.

    A value that is read again is a new line: the newest counts, and all stay as evidence. Access codes
    never stand in an entry; what stands there is whether the factory code was refused.
    """

    asfound: Literal["entry/1"]
    """Marks the line as an entry, format 1."""
    site: Text = ""
    """The site's name; must be the plan's."""
    plan_revision: Text = ""
    """Revision of the plan that the reader worked from."""
    network: Text = ""
    """Name of the network."""
    tag: Name
    """The device's tag."""
    setting: Name
    """Name of the setting, or `serial`, `note` or `photo`."""
    value: Text
    """The text as typed. A comma or a point is its decimal mark; nothing stands between thousands."""
    unit: Text = ""
    """The unit as typed; empty: the setting's own."""
    read_at: Text = ""
    """When it was read: ISO 8601, for instance 2026-03-31T09:15:02+02:00."""
    read_by: Text = ""
    """Who read it."""
    read_how: Text = ""
    """At the display, on the label, at the gateway, from a photo, witnessed."""
    reading: Annotated[int, Field(ge=1)] = 1
    """How often this setting of this device has been read in this file, this reading included."""
    skipped: Text | None = None
    """Given where the setting was left out: the reason, or empty. A reading before it is withdrawn."""

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
            raise ValueError("it is skipped, and yet has a value -- leave one of them out")
        return self
