"""What a rule can say: the check kinds and their arguments. audit/checks/registry.py names their files."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Scalar, Written

Words = Annotated[tuple[str, ...], Field(min_length=1)]


class Chosen(Written):
    """Which settings a rule looks at: those with some roles, some by name, or all but some roles."""

    roles: tuple[str, ...] = ()
    """Roles to look at."""
    settings: tuple[str, ...] = ()
    """Settings to look at, by name."""
    all_but_roles: tuple[str, ...] | None = None
    """Instead: every setting except those with these roles; an empty list: every setting."""

    def chooses(self, role: str, name: str) -> bool:
        """Tell whether a setting of this role and name is looked at."""
        if self.all_but_roles is not None:
            return role not in self.all_but_roles
        return bool(role and role in self.roles) or name in self.settings

    def chooses_any(self) -> bool:
        """Tell whether anything is chosen at all."""
        return self.all_but_roles is not None or bool(self.roles or self.settings)


class EqualsPlan(Chosen):
    """The value found is the planned one."""

    kind: Literal["equals-plan"]


class EqualsGateway(Written):
    """The value found at a node is the one found at its gateway; planned, if it was not read."""

    kind: Literal["equals-gateway"]
    roles: Words


class EqualsSetting(Written):
    """Two settings of the same device have the same value, after conversion of units."""

    kind: Literal["equals-setting"]
    pairs: Annotated[tuple[tuple[str, str], ...], Field(min_length=1)]
    """Pairs of roles."""


class WithinOne(Written):
    """The value found is not exactly one beside the planned one."""

    kind: Literal["within-one"]
    role: str


class SwappedPair(Written):
    """Two nodes of a network hold each other's planned value."""

    kind: Literal["swapped-pair"]
    role: str


class Unique(Written):
    """No two devices of the scope hold the same value."""

    kind: Literal["unique"]
    role: str = ""
    """Role of the setting that must differ."""
    field: Literal["", "tag", "serial"] = ""
    """Instead: tag or serial number."""
    within: Literal["network", "site"]

    @model_validator(mode="after")
    def _one_of_both(self) -> Self:
        if bool(self.role) == bool(self.field):
            raise ValueError(
                "the rule looks at nothing, or at two things -- give `role` or `field`, one of them"
            )
        return self


class NoOverlap(Written):
    """Blocks that begin at one setting and are another setting long do not overlap."""

    kind: Literal["no-overlap"]
    start: str
    """Role of the first place."""
    count: str
    """Role of the number of places."""
    same: str = ""
    """Role that must be equal for two blocks to meet, for instance `host_device`."""


class NotFactoryDefault(Chosen):
    """The value is not the factory default, unless that is what the plan asks for."""

    kind: Literal["not-factory-default"]


class AccessCode(Written):
    """The access code was changed, is not a trivial one, not shared, and not written in clear."""

    kind: Literal["access-code"]
    what: Literal["default-accepted", "not-tried", "trivial", "shared", "in-clear"]


class CodeMarks(Written):
    """The access code is no other device's by the marks of earlier runs, and has changed since."""

    kind: Literal["code-marks"]
    what: Literal["shared-elsewhere", "unchanged"]


class CodeAge(Written):
    """The access code is not older than the plan allows, and its age is known."""

    kind: Literal["code-age"]
    what: Literal["too-old", "unknown"]


class WithinLimits(Chosen):
    """The value lies between two limits, both included."""

    kind: Literal["within-limits"]
    limits: Literal["device", "sensor", "address-block", "settings", "numbers"]
    """`device`: those of the device type; `sensor`: of the measuring input; `address-block`: of the
    network; `settings`: two other settings, see `between`; `numbers`: see `low` and `high`."""
    between: tuple[str, str] | None = None
    """Roles of the two settings that are the limits."""
    length: str = ""
    """Role of a number of places that begin at the value: the last of them has to lie within, too."""
    low: float | None = None
    high: float | None = None

    @model_validator(mode="after")
    def _has_limits(self) -> Self:
        if self.limits == "numbers" and self.low is None and self.high is None:
            raise ValueError("the rule has no limits -- with `limits: numbers` give `low`, `high` or both")
        if self.limits == "settings" and self.between is None:
            raise ValueError(
                "the rule has no limits -- with `limits: settings` give `between`, the roles of two settings"
            )
        return self


class SmallestSpan(Written):
    """Two settings are at least the sensor's smallest span apart."""

    kind: Literal["smallest-span"]
    low: str
    high: str


class InOrder(Written):
    """Settings stand in rising order; those that are not set are passed over."""

    kind: Literal["in-order"]
    roles: Annotated[tuple[str, ...], Field(min_length=2)]


class DeadbandWorkable(Written):
    """The deadband is above zero, and an alarm can clear before the next one comes on."""

    kind: Literal["deadband-workable"]
    deadband: str
    roles: Annotated[tuple[str, ...], Field(min_length=1)]
    """Roles of the setpoints, in rising order."""


class OneOf(Chosen):
    """The value is one of a list."""

    kind: Literal["one-of"]
    values: tuple[Scalar, ...] = ()
    """The values allowed; left out: the plan's list for the setting, under `approved`."""

    @model_validator(mode="after")
    def _holds_no_codes(self) -> Self:
        if self.values and "access_code" in self.roles:
            raise ValueError("a rule must not hold access codes -- take the values out, and change the codes")
        return self


class WithinCapacity(Written):
    """A network has no more nodes or reports than its gateway can serve."""

    kind: Literal["within-capacity"]
    of: Literal["nodes", "reports"]


class ReadBack(Written):
    """It was read back at all."""

    kind: Literal["read-back"]
    what: Literal["device", "required-settings", "critical-settings", "clear-value"]


class Identity(Written):
    """A device is the one that it is taken for."""

    kind: Literal["identity"]
    what: Literal[
        "tag-serial-mismatch",
        "became-date",
        "respelled",
        "units-swapped",
        "unplanned",
        "type-differs",
        "serial-damaged",
        "wrong-gateway",
        "not-joined",
        "matched-by-settings",
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
    """Nodes of which every reading is that of another day, readings that differ. A strong sign."""
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
        "before-installation",
        "after-run",
        "other-network",
    ]
    signs: CopySigns | None = None
    """For `looks-copied`: from when on something is a sign."""

    @model_validator(mode="after")
    def _has_signs(self) -> Self:
        if (self.what == "looks-copied") != bool(self.signs):
            raise ValueError("give `signs` with `what: looks-copied`, and only then")
        return self


class WordOrder(Written):
    """The host shows what the device shows, and not only once its two words are exchanged."""

    kind: Literal["word-order"]
    device: str
    host: str


class Expression(Written):
    """An expression in the Common Expression Language (CEL); true makes a finding."""

    kind: Literal["expression"]
    when: Annotated[str, Field(min_length=1, max_length=2000)]
    """Uses `found.NAME` and `planned.NAME`, each NAME a role or setting listed below."""
    needs: tuple[str, ...] = ()
    """Names that must have a value; a device that lacks one is not looked at."""
    may_use: tuple[str, ...] = ()
    """Names that may be blank; the expression then sees null."""
    message: str = ""
    """What the finding says; left out: the rule's title."""


class Suspect(Written):
    """What is usual where a figure is so large."""

    above: float
    """From this figure on, up to that of the next."""
    words: Annotated[str, Field(min_length=1)]


class FigureLimits(Written):
    """An engineering figure, reckoned from plan and readback, stays within its limits."""

    kind: Literal["figure"]
    figure: Literal[
        "link-margin",
        "missing-signal",
        "radiated-power",
        "outside-band",
        "duty",
        "airtime",
        "battery-life",
        "alarm-time",
        "reuse-distance",
    ]
    at_least: float | None = None
    """Lowest it may be, where plan, licence and band set no limit, in the figure's unit."""
    at_most: float | None = None
    """Highest it may be, likewise."""
    assume: dict[str, float] = {}
    """Numbers that the figure needs and that are judgement."""
    suspects: tuple[Suspect, ...] = ()
    """What is told with a figure from some size on."""


class Fold(Written):
    """Put many findings with one cause under one finding that names the cause."""

    kind: Literal["fold"]
    pattern: Literal[
        "gateway-off-plan",
        "filled-series",
        "rows-shifted",
        "neighbour-row",
        "other-unit",
        "decimal-point",
        "became-dates",
        "same-difference",
        "unread",
        "unread-device",
        "gateway-drifted",
        "same-drift",
    ]
    at_least: Annotated[int, Field(ge=2)] = 3
    """Fewest findings that are put together."""


class WaiverState(Written):
    """Waivers are in force, used, and not too long."""

    kind: Literal["waiver"]
    what: Literal["expired", "expiring", "lapsed", "unused", "too-long", "not-in-force"]
    days: int = 0
    """For `expiring`: how long before; for `too-long`: how long at the most."""


class SampleState(Written):
    """A sample of the nodes accepts the lot, and says all that it has to."""

    kind: Literal["sample"]
    what: Literal["rejected", "open", "read-in-full"]


class Drift(Chosen):
    """A setting is as it was when the baseline was sealed, or a change record explains why not."""

    kind: Literal["drift"]
    what: Literal[
        "drift",
        "recorded",
        "without-record",
        "pending",
        "put-right",
        "all-differ",
        "not-read",
        "not-in-baseline",
    ]
    """Which case is told. `pending`, `without-record` and `all-differ` need a plan beside the baseline."""


class DeviceDrift(Written):
    """The devices are those of the baseline, or a change record explains why not."""

    kind: Literal["device-drift"]
    what: tuple[Literal["exchanged", "swapped", "retagged", "moved", "retyped", "came", "gone"], ...] = ()
    """What happened to the device; left out: anything."""
    case: Literal["drift", "recorded", "without-record", "pending"]


class ChangeRecord(Written):
    """What change records say is what was found, and the readings are newer than the changes."""

    kind: Literal["change-record"]
    what: Literal["not-borne-out", "other-value", "other-before", "older-evidence", "older-than-baseline"]


Check = Annotated[
    EqualsPlan
    | EqualsGateway
    | EqualsSetting
    | WithinOne
    | SwappedPair
    | Unique
    | NoOverlap
    | NotFactoryDefault
    | AccessCode
    | CodeMarks
    | CodeAge
    | WithinLimits
    | SmallestSpan
    | InOrder
    | DeadbandWorkable
    | OneOf
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
