"""Readback: what was read on the devices, in asfound's own JSON or YAML form."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from audit.model.base import Name, Scalar, SettingName, Written

FIELDS: dict[str, str] = {
    "tag": "the tag found on the device or entered for it",
    "serial": "serial number",
    "network": "name of the network",
    "type": "device type, as found",
    "location": "where the device is",
    "site": "name of the site; must be the same as in the plan",
    "plan_revision": "revision of the plan that the reader worked from",
    "read_at": "when it was read: ISO 8601, for instance 2026-03-31T09:15",
    "read_by": "who read it",
    "read_how": "at the display, from an export, from a photo, witnessed",
    "configured_by": "who set it",
    "configured_at": "when it was set: ISO 8601",
    "note": "anything worth noting",
    "decimal_mark": "how the numbers are written: point, comma, or point or comma (no thousands separator)",
}
"""The columns of a readback that are not settings."""

DECIMAL_MARKS = {"point": ".", "comma": ",", "point or comma": ".,"}
"""What the column decimal_mark may contain → the marks. It is the same in all rows of a table."""
EITHER_MARK = "point or comma"
"""What our own sheets say: they are filled in by hand, and people write one mark or the other."""
WHERE_ROW = {"tag": "where to read it", "serial": "on the label", "location": "as planned"}
"""Contents of a sheet's second row, which says where to read and is not a reading."""
PLANNED_ROW = "planned: "
"""Starts the tag of a row of planned values, which is not a reading either."""
GIVEN = ("tag", "network", "location", "site", "plan_revision", "decimal_mark", "read_how")
"""The fields that our own sheets are issued with already filled in."""


def _text(name: str) -> Any:
    """Return a field of a readback that may be left out, described as in FIELDS."""
    return Field("", description=FIELDS[name][0].upper() + FIELDS[name][1:] + ".")


class ReadbackDevice(Written):
    """One device as it was found."""

    tag: str = _text("tag")
    serial: str = _text("serial")
    network: str = _text("network")
    type: str = _text("type")
    location: str = _text("location")
    plan_revision: str = _text("plan_revision")
    read_at: str = _text("read_at")
    read_by: str = _text("read_by")
    read_how: str = _text("read_how")
    configured_by: str = _text("configured_by")
    configured_at: str = _text("configured_at")
    note: str = _text("note")
    settings: dict[SettingName, Scalar | None] = Field(default_factory=dict)
    """Setting, by its name, label or role in lower case → value as read, with a unit if that is not the
    setting's own (`10 bar`); left out or null: not read."""


class ReadbackFile(Written):
    """A readback file in asfound's own form. What it says at the top applies to every device."""

    asfound: Literal["readback/1"]
    """Marks the file as a readback, format 1."""
    site: Name
    """The site's name; must be the same as in the plan."""
    network: str = _text("network")
    plan_revision: str = _text("plan_revision")
    read_at: str = _text("read_at")
    read_by: str = _text("read_by")
    read_how: str = _text("read_how")
    configured_by: str = _text("configured_by")
    devices: tuple[ReadbackDevice, ...]


AT_THE_TOP = tuple(name for name in ReadbackFile.model_fields if name in FIELDS)
"""The fields that may stand once, above the records of a JSON or YAML file, and apply to them all."""
