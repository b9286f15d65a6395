"""The summary of several results: sites side by side, commonest causes, and how a site went over time."""

from __future__ import annotations

from typing import Literal

from audit.model.base import Level
from audit.model.reported import Document, Reported
from audit.model.used import Lowered

Compared = Literal["plan", "baseline"]
"""What a readback was held against: the plan (check), or a sealed baseline (drift)."""


class ResultUsed(Reported):
    """A result that went into the summary."""

    file: str
    sha256: str
    site: str
    run_on: str
    compared: Compared
    counted: bool
    """False where nothing was read, and the site has results that rest on a readback."""


class SiteLine(Reported):
    """A site by its latest result at a gate; one that was held against a baseline as well has a line more."""

    site: str
    compared: Compared
    plan_revision: str | None
    verdict: Literal["pass", "fail"]
    run_on: str
    gate: str
    networks: int
    devices: int
    devices_read: int
    not_read: int
    """Planned settings that were not read."""
    errors: int
    warnings: int
    notes: int
    waived: int
    root_causes: int
    not_checked: int
    """Rules that found nothing to look at."""
    file: str
    tied: list[str]
    """Files of the other results of that day and gate, where nothing says which is the latest."""

    lowered: list[Lowered]
    """What softens the verdict."""

    @property
    def tie(self) -> str:
        """What there is to say of them, in a sentence; blank where there are none."""
        if not self.tied:
            return ""
        return (
            f"{self.site}, {self.gate}, {self.run_on}: {len(self.tied) + 1} results of one day, and nothing "
            f"says which is later; the worse counts ({self.file}). One that was made with --since the "
            "other is known to be later"
        )


class CauseLine(Reported):
    """A rule that found causes at the sites, in their latest results."""

    rule: str
    title: str
    level: Level
    """The worst level at which it was found."""
    causes: int
    dependents: int
    """Findings that go with these causes."""
    sites: list[str]


class TrendPoint(Reported):
    """One result in the course of a site."""

    run_on: str
    verdict: Literal["pass", "fail"]
    gate: str
    plan_revision: str | None
    devices: int
    devices_read: int
    errors: int
    warnings: int
    notes: int
    waived: int
    new: int | None
    """Findings that the result before did not have; null for the first, and behind another baseline."""
    gone: int | None
    """Findings of the result before that this one has no more, and whose devices it has read."""
    not_read_again: int | None
    """Those that this one does not tell either, but what they are about was not read: nothing is known."""
    file: str


class Trend(Reported):
    """A site with more than one result of a kind at a gate, oldest first."""

    site: str
    compared: Compared
    gate: str
    points: list[TrendPoint]


class Summary(Document):
    """Several results in one."""

    schema_: Literal["asfound/summary/1"]
    verdict: Literal["pass", "fail"]
    """Fail where the latest result of any site fails at any gate, against the plan or its baseline."""
    sites: list[SiteLine]
    """Failing ones first, then by errors, warnings and name."""
    causes: list[CauseLine]
    """Commonest first."""
    trends: list[Trend]
    results: list[ResultUsed]
    cautions: list[str]

    @property
    def names(self) -> set[str]:
        """The sites."""
        return {line.site for line in self.sites}

    @property
    def failing(self) -> set[str]:
        """The sites of which a latest result fails."""
        return {line.site for line in self.sites if line.verdict == "fail"}
