"""What a rule can check of codes, identities and the readback itself: the arguments of those check kinds."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Written
from audit.model.role_names import RoleName


class AccessCode(Written):
    """The access code was changed, and is not trivial, shared or written in clear."""

    kind: Literal["access-code"]
    what: Literal["default-accepted", "not-tried", "trivial", "shared", "in-clear"]


class CodeMarks(Written):
    """By the marks of earlier runs, no other device has the access code, and it has been changed since."""

    kind: Literal["code-marks"]
    what: Literal["shared-elsewhere", "unchanged", "not-changed-as-noted"]


class CodeAge(Written):
    """The access code is not older than the plan allows, and its age is known."""

    kind: Literal["code-age"]
    what: Literal["too-old", "unknown"]


class AlarmAuthority(Written):
    """An alarm that is off, and not planned to be, has an authorisation that is live and has an end date."""

    kind: Literal["alarm-authority"]
    what: Literal["live", "end"]
    role: RoleName
    """Role of the setting that switches the alarms on and off."""


class ReadBack(Written):
    """A device, or a setting, was read back."""

    kind: Literal["read-back"]
    what: Literal["device", "required-settings", "critical-settings", "clear-value", "alarm-off"]


class Identity(Written):
    """A device is the one it is taken to be."""

    kind: Literal["identity"]
    what: Literal[
        "tag-serial-mismatch",
        "became-date",
        "respelled",
        "units-swapped",
        "serials-swapped",
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


TwoOrMore = Annotated[int, Field(ge=2, le=1000)]

Positive = Annotated[float, Field(gt=0, le=100_000)]


class CopySigns(Written):
    """The points at which something counts as a sign that a readback was copied. All are judgement."""

    telling_texts: TwoOrMore
    """Texts exactly as planned, in a spelling that no display would show. A strong sign."""
    seconds_a_setting: Positive
    """The shortest time in which a person steps to a setting, reads it and writes it down."""
    seconds_a_node: Positive
    """The shortest time in which a person reads a node at all: get at it, wake it, close it."""
    metres_a_second: Positive
    """Brisk walking from node to node, where their positions are known."""
    walked_m: Positive
    """The longest walk that is counted, in metres; farther apart, somebody may drive."""
    hasty_nodes: TwoOrMore
    """Successive nodes that were read faster than that. A strong sign; fewer are a weak one."""
    nodes_in_one_minute: TwoOrMore
    """Nodes all read within one minute. A weak sign."""
    nodes_at_even_times: TwoOrMore
    """Nodes read at even intervals, in the order of the plan's rows. A weak sign."""
    nodes_before_installation: TwoOrMore
    """Nodes read before the day on which they were installed. A weak sign."""
    nodes_alike: TwoOrMore
    """Nodes that show exactly the same reading. A weak sign."""
    nodes_as_before: TwoOrMore
    """Nodes whose readings repeat another day's exactly, or whose settings have reverted. A strong sign."""
    weak_signs: TwoOrMore
    """How many weak signs it takes for a finding; a single strong sign is enough."""


class Evidence(Written):
    """The readback is good enough as evidence."""

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
    """For `looks-copied`: the points at which something counts as a sign."""
    days: Annotated[int, Field(gt=0)] | None = None
    """For `too-old`: the largest number of days between a reading and the run."""

    @model_validator(mode="after")
    def _has_its_limits(self) -> Self:
        if (self.what == "too-old") != bool(self.days):
            raise ValueError(
                "`days` goes with `what: too-old`, and only with that -- give it, or take it out"
            )
        if (self.what == "looks-copied") != bool(self.signs):
            raise ValueError(
                "`signs` goes with `what: looks-copied`, and only with that -- give it, or take it out"
            )
        return self
