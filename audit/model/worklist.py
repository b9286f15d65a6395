"""The work list: what is to be done, step by step. Reports compute nothing, so everything is here."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Document, Reported
from audit.model.result import EvidencePlace
from audit.model.used import InputFile, SiteName, Tool

Status = Literal["done", "not done", "other value", "not read again", "by hand"]
"""What a readback after the work shows for a step; `by hand`: no readback can show it."""


class Change(Reported):
    """One setting of a device, as found and as it should be."""

    setting: str
    label: str
    where: str | None
    """How to get there at the device."""
    before: str
    after: str


class Step(Reported):
    """One step. Who did it, who verified it and the value as left are filled in by hand."""

    number: int
    visit: int
    """Number of the visit that it is part of."""
    network: str | None
    place: str
    tag: str | None
    serial: str | None
    do: str
    """What is done, in words."""
    changes: list[Change]
    """Settings to change, in the order in which they are keyed."""
    needs: list[int]
    """Numbers of the steps that have to be done before it."""
    hold: str | None
    """Hold point: what has to be agreed or seen before the step is begun."""
    cautions: list[str]
    expect: str
    """What confirms that it has worked."""
    minutes: float
    rollback: str | None
    findings: list[str]
    """Ids of the findings that it corrects, or helps to correct."""
    status: Status | None
    """What the readback after the work shows; null if none was given."""
    as_left: str | None
    """What was read after the work."""


class Visit(Reported):
    """Steps that are done in one go at one place."""

    number: int
    title: str
    metres: float | None
    """Distance from the previous place; null if positions or a start are not known."""


class Alternative(Reported):
    """One way to correct what several devices show."""

    network: str
    setting: str
    way: str
    gateways: int
    """How many gateways have to be changed."""
    nodes: int
    minutes: float
    """Work and travel, including the change record if the plan has to be changed."""
    blind_node_minutes: float
    """Minutes during the work for which nodes are not heard, summed over all nodes."""
    amends_plan: bool
    against: str | None
    """Why it is advised against."""
    advised: bool
    listed: bool
    """Whether the steps listed are those of this way."""
    choose: str | None
    """The option that makes the list use this way."""


class HeldBack(Reported):
    """A change that is not in the list because it cannot be done without harm."""

    network: str
    devices: list[str]
    change: str
    why: str
    mend: str
    """What to free, settle or state so that the change can be listed."""
    findings: list[str]


class WorkCounts(Reported):
    """How much there is to do."""

    steps: int
    visits: int
    changes: int
    """Settings to change; one that goes through a spare address counts twice."""
    devices: int
    held_back: int
    minutes: float
    """Work, without travel."""
    ways_minutes: float
    """Travel from place to place."""
    done: int | None
    open: int | None
    by_hand: int | None


class Route(Reported):
    """How the order of the visits was found."""

    how: str
    metres: float | None
    """From the start through all places and back, in straight lines from each to the next."""


class NewlyWrong(Reported):
    """A finding that is new after the work, or two devices that may share an address since then."""

    id: str
    message: str
    remedy: str
    place: EvidencePlace | None = None
    """Where the reading, or the value in the plan, is written; null if it does not come from a file."""
    with_it: list[str] = []
    """Findings that are also new and have this one as their cause."""


class WorkList(Document):
    """The list of steps, with what is held back and the alternatives that were considered."""

    schema_: Literal["asfound/worklist/1"]
    site: SiteName
    run_on: str
    counts: WorkCounts
    held_back: list[HeldBack]
    alternatives: list[Alternative]
    visits: list[Visit]
    steps: list[Step]
    route: Route
    waived: int
    """Findings that a live waiver excuses, and that lead to no step."""
    newly_wrong: list[NewlyWrong] | None
    """Findings that are new, or worse, after the work; null without a readback after the work."""
    cautions: list[str]
    basis: str
    """Where the minutes come from."""
    inputs: list[InputFile]
    tool: Tool
