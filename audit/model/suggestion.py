"""What `asfound plan --suggest` proposes: changes to a plan, for people to review."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Document, Reported
from audit.model.result import EvidencePlace


class PlanChange(Reported):
    """One value in the plan that would change."""

    network: str
    node: str
    """Tag of the device that has the value."""
    setting: str
    before: str
    after: str
    why: str
    place: EvidencePlace | None
    """Where it is written; null if the plan does not say it, so that it has to be added."""


class Suggestion(Document):
    """Changes after which no conflict is left, or why there are none."""

    schema_: Literal["asfound/suggestion/1"]
    site: str
    plan: str
    what: Literal["channels", "addresses"]
    changes: list[PlanChange]
    by_hand: list[str]
    """Changes that no patch can make, each with its place: values in a workbook or in JSON, in another
    encoding than UTF-8, beside access codes or a cell of several lines, written once for several devices, or
    not written yet."""
    impossible: list[str]
    """What is not possible, and what to free; nothing is proposed for what is named here."""
    kept: int
    """Networks, or nodes, that stay as they are."""
    quality: str
    """How good it is: proven to change as few as possible, or how far it may be from that."""
    not_looked_at: list[str]
    """What could not be determined for lack of data."""
    assumed: list[str]
    cautions: list[str]
