"""The summary of several results: sites side by side, most common causes, and each site over time."""

from __future__ import annotations

from typing import Literal

from audit.model.base import Level
from audit.model.reported import Document, Reported
from audit.model.used import Lowered

Compared = Literal["plan", "baseline"]
"""What a readback was compared with: the plan (check) or a sealed baseline (drift)."""


class ResultUsed(Reported):
    """A result that went into the summary."""

    file: str
    sha256: str
    site: str
    run_on: str
    compared: Compared
    counted: bool
    """False if nothing was read, but the site has other results that are based on a readback."""


class SiteLine(Reported):
    """A site by its latest result at a gate; one also compared with a baseline has a further line."""

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
    """Rules that had nothing to look at."""
    file: str
    tied: list[str]
    """Files of the other results of that day and gate, if nothing shows which is the latest."""

    lowered: list[Lowered]
    """The rules whose lowered levels soften the verdict."""

    @property
    def tie(self) -> str:
        """What to say about tied results, in a sentence; blank if there are none."""
        if not self.tied:
            return ""
        return (
            f"{self.site}, {self.gate}, {self.run_on}: {len(self.tied) + 1} results of one day, and nothing "
            f"says which is later; the worse counts ({self.file}). A result made with --since the "
            "other is known to be later"
        )


class CauseLine(Reported):
    """A rule that found causes at the sites, according to their latest results."""

    rule: str
    title: str
    level: Level
    """The worst level at which it was found."""
    causes: int
    dependents: int
    """Findings that these causes account for."""
    sites: list[str]


class TrendPoint(Reported):
    """One result in a site's trend."""

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
    """Findings that the previous result did not have; null for the first, and after a change of baseline."""
    gone: int | None
    """Findings of the previous result that this one no longer has, though it has read their devices."""
    not_read_again: int | None
    """Those that this one does not report either, but whose subject was not read: nothing is known."""
    file: str


class Trend(Reported):
    """A site with more than one result of the same kind at a gate, oldest first."""

    site: str
    compared: Compared
    gate: str
    points: list[TrendPoint]


class Summary(Document):
    """Several results in one."""

    schema_: Literal["asfound/summary/1"]
    verdict: Literal["pass", "fail"]
    """Fail if the latest result of any site fails at any gate, against the plan or its baseline."""
    sites: list[SiteLine]
    """Failing ones first, then by errors, warnings and name."""
    causes: list[CauseLine]
    """Most common first."""
    trends: list[Trend]
    results: list[ResultUsed]
    cautions: list[str]

    @property
    def names(self) -> set[str]:
        """The sites."""
        return {line.site for line in self.sites}

    @property
    def failing(self) -> set[str]:
        """The sites that have a latest result that fails."""
        return {line.site for line in self.sites if line.verdict == "fail"}
