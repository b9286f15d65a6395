"""What a rule can check: all check kinds, and the arguments of those that look at findings or changes.

audit/checks/registry.py names the file of each kind.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from audit.model.asked_of_evidence import (
    AccessCode,
    AlarmAuthority,
    CodeAge,
    CodeMarks,
    Evidence,
    Identity,
    ReadBack,
)
from audit.model.asked_of_figures import FigureLimits
from audit.model.asked_of_values import (
    Chosen,
    DeadbandWorkable,
    EqualsGateway,
    EqualsPlan,
    EqualsSetting,
    Expression,
    InOrder,
    NetworksAlike,
    NoOverlap,
    NotFactoryDefault,
    OneOf,
    PlannedBeside,
    SmallestSpan,
    SwappedPair,
    Unique,
    WithinCapacity,
    WithinLimits,
    WithinOne,
    WordOrder,
)
from audit.model.base import Written
from audit.model.drift import DeviceEvent

PatternName = Literal[
    "other-device",
    "names-slipped",
    "another-site",
    "other-tags",
    "strange-file",
    "replaced",
    "at-default",
    "misread",
    "other-network",
    "gateway-off-plan",
    "gateway-against-nodes",
    "nodes-under-unplanned-gateway",
    "silent-together",
    "planned-series",
    "planned-once",
    "planned-swapped",
    "one-limit",
    "weak-links",
    "against-plan",
    "other-order",
    "filled-series",
    "rows-shifted",
    "neighbour-row",
    "columns-shifted",
    "other-unit",
    "decimal-point",
    "shifted-by-one",
    "same-step",
    "became-dates",
    "same-difference",
    "swapped",
    "unclear-alike",
    "undated",
    "nameless-rows",
    "unread",
    "unread-device",
    "respelled",
    "read-too-early",
    "same-finding",
    "gateway-drifted",
    "unit-drifted",
    "same-drift",
]
"""A pattern of folding: what the findings that are put together have in common."""


class Fold(Written):
    """Put many findings with one cause under one finding that names the cause."""

    kind: Literal["fold"]
    pattern: PatternName
    at_least: Annotated[int, Field(ge=2)] = 3
    """The smallest number of findings that is put together; fewer where the values alone show the cause.

    Two different numbers off by one factor are enough, and two of a series that goes on from the plan.
    """


class WaiverState(Written):
    """Waivers are in force, used, and not too long."""

    kind: Literal["waiver"]
    what: Literal["expired", "expiring", "lapsed", "unused", "too-long", "not-in-force"]
    days: int = 0
    """For `expiring`: how many days before the expiry; for `too-long`: the longest allowed, in days."""


class SampleState(Written):
    """A sample of the nodes accepts the lot, and nothing is left open."""

    kind: Literal["sample"]
    what: Literal["rejected", "open", "read-in-full"]


class Drift(Chosen):
    """A setting is as sealed, or a change record explains why not; observations and trials are left out."""

    kind: Literal["drift"]
    what: Literal[
        "drift",
        "recorded",
        "without-record",
        "pending",
        "unmended",
        "put-right",
        "all-differ",
        "not-read",
        "not-in-baseline",
        "new-off-plan",
    ]
    """The case that is reported. Only a plan can show `pending`, `unmended`, `without-record`, `all-differ`
    and `new-off-plan`."""


class DeviceDrift(Written):
    """The devices are those of the baseline, or a change record explains why not."""

    kind: Literal["device-drift"]
    what: tuple[DeviceEvent, ...] = ()
    """What happened to the device; if left out, anything."""
    case: Literal["drift", "recorded", "without-record", "pending", "unmended"]


class ChangeRecord(Written):
    """What was found is what the change records say, and the readings are newer than the changes."""

    kind: Literal["change-record"]
    what: Literal["not-borne-out", "other-value", "other-before", "older-evidence", "older-than-baseline",
                  "same-times"]  # fmt: skip


Check = Annotated[
    EqualsPlan
    | EqualsGateway
    | NetworksAlike
    | EqualsSetting
    | WithinOne
    | SwappedPair
    | Unique
    | NoOverlap
    | NotFactoryDefault
    | AccessCode
    | CodeMarks
    | CodeAge
    | AlarmAuthority
    | WithinLimits
    | SmallestSpan
    | InOrder
    | DeadbandWorkable
    | OneOf
    | PlannedBeside
    | WithinCapacity
    | ReadBack
    | Identity
    | Evidence
    | WordOrder
    | Expression
    | FigureLimits
    | Fold
    | WaiverState
    | SampleState
    | Drift
    | DeviceDrift
    | ChangeRecord,
    Field(discriminator="kind"),
]
