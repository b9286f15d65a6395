"""Change records: who allowed what to change, and when."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Name, Scalar, SettingName, Written
from audit.model.plan import Date

What = Literal["setting", "exchange", "move", "retag", "added", "removed"]


class Change(Written):
    """One approved change. It explains exactly what it names; there are no wildcards."""

    id: Name
    """What the record is called, for instance its number in the register."""
    what: What = "setting"
    """`setting`: a setting got a new value; `exchange`: a new unit in the same place; `move`: to another
    network; `retag`: a new tag; `added`, `removed`: a device was added or removed."""
    network: str = ""
    """Name of the network. Without `node`, the change is to all devices of the network, or with `from` to
    those of the types that had this value."""
    node: str = ""
    """Tag of the node or gateway, as in the baseline or as renamed by an earlier record."""
    setting: SettingName | None = None
    """The setting, for `what: setting`."""
    before: Annotated[Scalar | None, Field(alias="from")] = None
    """The value before the change; for an exchange the old serial number."""
    after: Annotated[Scalar | None, Field(alias="to")] = None
    """The value after it: for an exchange the new serial number, for a move or retag the new name."""
    approved_by: Name
    """Who allowed it."""
    date: Date
    """The day on which it was done."""
    work_order: str = ""
    """The work order under which it was done."""
    reason: str = ""
    """Why it was done."""

    @model_validator(mode="after")
    def _says_what_it_has_to(self) -> Self:
        name = f"change {self.id!r}"
        if (self.what == "setting") != (self.setting is not None):
            mend = "name the setting" if self.setting is None else "take `setting` or `what` out"
            raise ValueError(f"{name}: `setting` goes with `what: setting`, and only with that -- {mend}")
        if not (self.node or self.network):
            raise ValueError(f"{name}: it names neither a node nor a network -- name the `node`")
        if not self.node and self.what in ("exchange", "retag", "added", "removed"):
            raise ValueError(f"{name}: {self.what} is about one device -- name the `node`")
        if self.what in ("move", "retag") and self.after is None:
            raise ValueError(f"{name}: it does not say where to -- give `to`")
        return self


class ChangesFile(Written):
    """A file of change records."""

    asfound: Literal["changes/1"]
    """Marks the file as change records, format 1."""
    changes: Annotated[tuple[Change, ...], Field(min_length=1)]
