"""What a rule can ask of values: the arguments of the check kinds that compare settings."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from audit.model.base import Scalar, Written
from audit.model.role_names import NumberRole, RoleName

RoleNames = Annotated[tuple[RoleName, ...], Field(min_length=1)]


def each_once(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return names that are compared with each other. Raises ValueError where one is there twice."""
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"{name!r} is compared with itself -- name each once")
    return names


OnceEach = AfterValidator(each_once)
"""What is compared with each other: nothing of interest comes of comparing a thing with itself."""


def check_limits(low_name: str, low: float | None, high_name: str, high: float | None) -> None:
    """Raise ValueError where no value can lie between two limits."""
    if low is not None and high is not None and low > high:
        raise ValueError(f"{low_name} {low:g} is above {high_name} {high:g} -- exchange them")


class Chosen(Written):
    """Which settings a rule looks at: those with some roles, some by name, or all but some roles."""

    roles: tuple[RoleName, ...] = ()
    """Roles to look at."""
    settings: tuple[str, ...] = ()
    """Settings to look at, by name."""
    all_but_roles: tuple[RoleName, ...] | None = None
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
    roles: RoleNames


class NetworksAlike(Written):
    """No two networks of the site have the same values at their gateways, of all these roles together."""

    kind: Literal["networks-alike"]
    roles: RoleNames
    """The first has to be known of both; of the others, what a gateway has no setting for counts as equal."""


class EqualsSetting(Written):
    """Two settings of the same device have the same value, after conversion of units."""

    kind: Literal["equals-setting"]
    pairs: Annotated[tuple[Annotated[tuple[RoleName, RoleName], OnceEach], ...], Field(min_length=1)]
    """Pairs of roles."""


class WithinOne(Written):
    """The value found is not exactly one beside the planned one."""

    kind: Literal["within-one"]
    role: NumberRole


class SwappedPair(Written):
    """Two nodes of a network hold each other's planned value."""

    kind: Literal["swapped-pair"]
    role: RoleName


class Unique(Written):
    """No two devices of the scope hold the same value."""

    kind: Literal["unique"]
    role: RoleName = ""
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
    start: NumberRole
    """Role of the first place."""
    count: NumberRole
    """Role of the number of places."""
    same: RoleName = ""
    """Role that must be equal for two blocks to meet, for instance `host_device`."""


class NotFactoryDefault(Chosen):
    """The value is not the factory default, unless that is what the plan asks for."""

    kind: Literal["not-factory-default"]


class WithinLimits(Chosen):
    """The value lies between two limits, both included."""

    kind: Literal["within-limits"]
    limits: Literal["device", "sensor", "address-block", "settings", "numbers"]
    """`device`: those of the device type; `sensor`: of the measuring input; `address-block`: of the
    network; `settings`: two other settings, see `between`; `numbers`: see `low` and `high`."""
    between: Annotated[tuple[NumberRole, NumberRole], OnceEach] | None = None
    """Roles of the two settings that are the limits."""
    length: NumberRole = ""
    """Role of a number of places that begin at the value: the last of them has to lie within, too."""
    low: float | None = None
    high: float | None = None

    @model_validator(mode="after")
    def _has_limits(self) -> Self:
        if self.limits == "numbers" and self.low is None and self.high is None:
            raise ValueError("the rule has no limits -- with `limits: numbers` give `low`, `high` or both")
        if self.limits != "numbers" and (self.low, self.high) != (None, None):
            raise ValueError(
                "`low` and `high` say nothing here -- write `limits: numbers`, or leave them out"
            )
        if self.limits == "settings" and self.between is None:
            raise ValueError(
                "the rule has no limits -- with `limits: settings` give `between`, the roles of two settings"
            )
        check_limits("low", self.low, "high", self.high)
        return self


class SmallestSpan(Written):
    """Two settings are at least the sensor's smallest span apart."""

    kind: Literal["smallest-span"]
    low: NumberRole
    high: NumberRole


class InOrder(Written):
    """Settings stand in rising order; those that are not set are passed over."""

    kind: Literal["in-order"]
    roles: Annotated[tuple[NumberRole, ...], Field(min_length=2), OnceEach]


class DeadbandWorkable(Written):
    """The deadband is above zero, and an alarm can clear before the next one comes on."""

    kind: Literal["deadband-workable"]
    deadband: NumberRole
    roles: Annotated[tuple[NumberRole, ...], Field(min_length=1), OnceEach]
    """Roles of the setpoints, in rising order."""


class PlannedBeside(Written):
    """A value is planned where most others of its kind have one planned."""

    kind: Literal["planned-beside"]
    roles: tuple[RoleName, ...] = ()
    """Roles to look at."""
    critical: bool = False
    """Whether to look at all settings that their device type calls critical as well."""
    among: Literal["network", "type"]
    """Whose values count: those of the other nodes of a network, or of the other devices of a type."""


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


class WordOrder(Written):
    """The host shows what the device shows, and not only once its two words are exchanged."""

    kind: Literal["word-order"]
    device: NumberRole
    host: NumberRole


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
