"""What a rule can ask of codes, identities and the readback itself: the arguments of those check kinds."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Written
from audit.model.role_names import RoleName


class AccessCode(Written):
    """The access code was changed, is not a trivial one, not shared, and not written in clear."""

    kind: Literal["access-code"]
    what: Literal["default-accepted", "not-tried", "trivial", "shared", "in-clear"]


class CodeMarks(Written):
    """The access code is no other device's by the marks of earlier runs, and has changed since."""

    kind: Literal["code-marks"]
    what: Literal["shared-elsewhere", "unchanged", "not-changed-as-noted"]


class CodeAge(Written):
    """The access code is not older than the plan allows, and its age is known."""

    kind: Literal["code-age"]
    what: Literal["too-old", "unknown"]


class AlarmAuthority(Written):
    """An alarm that is off, and not planned so, has an authorisation: a live one, and one with an end."""

    kind: Literal["alarm-authority"]
    what: Literal["live", "end"]
    role: RoleName
    """Role of the switch of the alarms."""


class ReadBack(Written):
    """It was read back at all."""

    kind: Literal["read-back"]
    what: Literal["device", "required-settings", "critical-settings", "clear-value", "alarm-off"]


class Identity(Written):
    """A device is the one that it is taken for."""

    kind: Literal["identity"]
    what: Literal[
        "tag-serial-mismatch",
        "became-date",
        "respelled",
        "units-swapped",
        "serials-exchanged",
        "unplanned",
        "names-no-device",
        "no-reading",
        "type-differs",
        "no-such-setting",
        "serial-damaged",
        "serial-corrected",
        "wrong-gateway",
        "not-joined",
        "matched-by-settings",
        "planned-twice",
    ]


Few = Annotated[int, Field(ge=2, le=1000)]

Some = Annotated[float, Field(gt=0, le=100_000)]


class CopySigns(Written):
    """From when on something is a sign that a readback was copied. All of these are judgement."""

    telling_texts: Few
    """Texts to the letter as planned, spelled as no display would show them. A strong sign."""
    seconds_a_setting: Some
    """Fastest that a person steps to a setting, reads it and writes it down."""
    seconds_a_node: Some
    """Fastest that a person reads a node at all: get at it, wake it, close it."""
    metres_a_second: Some
    """Brisk walking from node to node, where their positions are known."""
    walked_m: Some
    """As far as this a way counts; farther apart, somebody may drive."""
    hasty_nodes: Few
    """Nodes in a row that were read faster than that. A strong sign; fewer are a weak one."""
    nodes_in_one_minute: Few
    """Nodes all read in one minute. A weak sign."""
    nodes_at_even_times: Few
    """Nodes read at even intervals, in the order of the plan's rows. A weak sign."""
    nodes_before_installation: Few
    """Nodes read before the day on which they were installed. A weak sign."""
    nodes_alike: Few
    """Nodes that show one and the same reading. A weak sign."""
    nodes_as_before: Few
    """Nodes of which every reading is that of another day, or whose settings are again. A strong sign."""
    weak_signs: Few
    """How many weak signs are told; one strong sign is."""


class Evidence(Written):
    """The readback is worth something as evidence."""

    kind: Literal["evidence"]
    what: Literal[
        "looks-copied",
        "self-checked",
        "stale-revision",
        "readings-disagree",
        "off-plan-reading",
        "before-installation",
        "before-set",
        "after-run",
        "other-network",
        "too-old",
        "undated",
    ]
    signs: CopySigns | None = None
    """For `looks-copied`: from when on something is a sign."""
    days: Annotated[int, Field(gt=0)] | None = None
    """For `too-old`: the most days from a reading to the run."""

    @model_validator(mode="after")
    def _has_its_limits(self) -> Self:
        if (self.what == "too-old") != bool(self.days):
            raise ValueError("give `days` with `what: too-old`, and only then")
        if (self.what == "looks-copied") != bool(self.signs):
            raise ValueError("give `signs` with `what: looks-copied`, and only then")
        return self
