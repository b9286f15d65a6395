"""What `asfound figures` lists: every engineering figure of a site, within its limits or not."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Document, Reported
from audit.model.used import InputFile, SiteName, Tool


class FigureLine(Reported):
    """A figure of one device or network."""

    network: str
    node: str | None
    """Tag of the device; null for a figure of the whole network."""
    figure: str
    """Its name, as rules use it."""
    value: float
    shown: str
    """The value with its unit, rounded as in findings."""
    unit: str
    least: float | None
    most: float | None
    """Between what it has to be, by plan, licence, band or rule."""
    beyond: bool
    """Whether it is outside these limits; `check` makes a finding of it."""
    sum: str
    """How it was calculated; empty if it was read so."""


class FigureGap(Reported):
    """Why a figure is missing for devices or networks."""

    figure: str
    needs: str
    """What has to be known before it can be calculated."""
    number: int
    """For how many devices, or networks."""


class FigureTitle(Reported):
    """What a figure is called."""

    figure: str
    title: str
    unit: str
    of_network: bool
    """Whether it is one figure for a whole network, not for each device."""
    rules: list[str]
    """The rules that judge it."""


class FigureList(Document):
    """Every engineering figure of a site that plan and device types give the numbers for."""

    schema_: Literal["asfound/figures/1"]
    site: SiteName
    side: Literal["planned", "found"]
    """As found, the values of the plan count beside those that were read."""
    figures: list[FigureTitle]
    lines: list[FigureLine]
    """By network, in the plan's order, then by device and figure."""
    gaps: list[FigureGap]
    cautions: list[str]
    inputs: list[InputFile]
    tool: Tool
