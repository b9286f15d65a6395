"""Waivers: differences that somebody has accepted, for a reason and for a limited time."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Id, Name, Scalar, SettingName, Written
from audit.model.plan import Date
from audit.people import same_person


class Waiver(Written):
    """One accepted difference. It excuses the exact value, not the setting; there are no wildcards."""

    id: Name
    """What it is called in reports and registers."""
    rule: Id
    """Id of the rule whose finding is excused."""
    node: Name
    """Tag of the node or gateway."""
    setting: SettingName | None = None
    """The setting; left out for findings that concern no setting."""
    value: Scalar | None = None
    """The exact value that is excused, as reports show it; any other value ends the waiver.

    For a finding about several settings, or none: all that reports show as found, `tag PT-9 serial 410099`.
    """
    reason: Name
    """Why the difference is accepted."""
    compensating_measure: str = ""
    """What is done meanwhile, so that it does no harm."""
    owner: Name
    """Who is responsible for it."""
    approver: Name
    """Who allowed it: must not be the owner."""
    issued: Date
    """The day from which it holds."""
    expires: Date
    """The last day on which it holds."""

    @model_validator(mode="after")
    def _two_people_and_in_order(self) -> Self:
        if same_person(self.owner, self.approver):
            raise ValueError(
                f"waiver {self.id!r}: owner and approver are the same person -- another person has to approve"
            )
        if self.expires < self.issued:
            raise ValueError(f"waiver {self.id!r}: it expires before it is issued -- correct the dates")
        return self


class WaiverFile(Written):
    """A file of waivers."""

    asfound: Literal["waivers/1"]
    """Marks the file as waivers, format 1."""
    waivers: Annotated[tuple[Waiver, ...], Field(min_length=1)]
