"""What `asfound plan --suggest` proposes: changes of a plan, for people to review."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Document, Reported
from audit.model.result import EvidencePlace


class PlanChange(Reported):
    """One value of the plan that would change."""

    network: str
    node: str
    """Tag of the device at which the value stands."""
    setting: str
    before: str
    after: str
    why: str
    place: EvidencePlace | None
    """Where it stands; null where the plan does not say it, so that it has to be added."""


class Suggestion(Document):
    """Changes that leave no conflict, or why there are none."""

    schema_: Literal["asfound/suggestion/1"]
    site: str
    plan: str
    what: Literal["channels", "addresses"]
    changes: list[PlanChange]
    by_hand: list[str]
    """Those that no patch reaches: they stand in a workbook, beside access codes, or nowhere yet."""
    impossible: list[str]
    """What cannot be had, and what to free; nothing is proposed then for what is named here."""
    kept: int
    """Networks, or nodes, that stay as they are."""
    quality: str
    """How good it is: proven to change as few as can be, or how far it may be from that."""
    not_looked_at: list[str]
    """What could not be told for want of data."""
    assumed: list[str]
    cautions: list[str]
