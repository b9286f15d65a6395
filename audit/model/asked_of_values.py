"""What a rule can check of values: the arguments of the check kinds that compare settings."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from audit.model.base import Scalar, Written, check_limits, repeated
from audit.model.role_names import NumberRole, RoleName

RoleNames = Annotated[tuple[RoleName, ...], Field(min_length=1)]


def each_once(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return names that are compared with each other. Raises ValueError if one is given twice."""
    if (twice := repeated(names)) is not None:
        raise ValueError(f"{twice!r} is compared with itself -- name each once")
    return names


OnceEach = AfterValidator(each_once)
"""For names that are compared with each other: comparing a thing with itself would show nothing."""


class Chosen(Written):
    """Which settings a rule looks at: by role, by name, or all except those with certain roles."""

    roles: tuple[RoleName, ...] = ()
    """Roles to look at."""
    settings: tuple[str, ...] = ()
    """Settings to look at, by name."""
    all_but_roles: tuple[RoleName, ...] | None = None
    """Instead of these: every setting except those with these roles; an empty list means every setting."""

    def chooses(self, role: str, name: str) -> bool:
        """Return whether a setting with this role and name is looked at."""
        if self.all_but_roles is not None:
            return role not in self.all_but_roles
        return bool(role and role in self.roles) or name in self.settings

    def chooses_any(self) -> bool:
        """Return whether anything is chosen at all."""
        return self.all_but_roles is not None or bool(self.roles or self.settings)


class EqualsPlan(Chosen):
    """The value found is the planned one."""

    kind: Literal["equals-plan"]


class EqualsGateway(Written):
    """A node has the value found at its gateway, or planned for it, or else that of most of its nodes."""

    kind: Literal["equals-gateway"]
    roles: RoleNames
    """Roles to look at."""


class NetworksAlike(Written):
    """No two networks of the site have the same values of all these roles together at their gateways."""

    kind: Literal["networks-alike"]
    roles: RoleNames
    """The first must be known for both; any other that a gateway has no setting for counts as equal."""


class EqualsSetting(Written):
    """Two settings of a device agree to a display step, after unit conversion; one not read is as planned."""

    kind: Literal["equals-setting"]
    pairs: Annotated[tuple[Annotated[tuple[RoleName, RoleName], OnceEach], ...], Field(min_length=1)]
    """Pairs of roles."""


class WithinOne(Written):
    """The value found is not exactly one above or below the planned one."""

    kind: Literal["within-one"]
    role: NumberRole
    """Role of the number."""


class SwappedPair(Written):
    """Two nodes of a network do not have each other's planned value."""

    kind: Literal["swapped-pair"]
    role: RoleName
    """Role of the setting that both have."""


class Unique(Written):
    """No two devices in the scope have the same value."""

    kind: Literal["unique"]
    role: RoleName = ""
    """Role of the setting that must differ."""
    field: Literal["", "tag", "serial"] = ""
    """Instead of a role: the tag or the serial number."""
    within: Literal["network", "site"]
    """The scope: devices of one network, or of the whole site."""

    @model_validator(mode="after")
    def _one_of_both(self) -> Self:
        if bool(self.role) == bool(self.field):
            raise ValueError("the rule looks at nothing, or at two things -- give either `role` or `field`")
        return self


class NoOverlap(Written):
    """Blocks whose start is one setting and whose length is another do not overlap."""

    kind: Literal["no-overlap"]
    start: NumberRole
    """Role of the first place."""
    count: NumberRole
    """Role of the number of places."""
    same: RoleName = ""
    """Role that must have equal values for two blocks to overlap, for instance `host_device`."""


class NotFactoryDefault(Chosen):
    """The value is not the factory default, unless the plan asks for it."""

    kind: Literal["not-factory-default"]


class WithinLimits(Chosen):
    """The value lies between two limits, both included; where these are settings not read, as planned."""

    kind: Literal["within-limits"]
    limits: Literal["device", "sensor", "address-block", "settings", "numbers"]
    """`device`: those of the device type; `sensor`: those of the measuring input; `address-block`: those of
    the network; `settings`: two other settings, see `between`; `numbers`: see `low` and `high`."""
    between: Annotated[tuple[NumberRole, NumberRole], OnceEach] | None = None
    """Roles of the two settings that are the limits."""
    length: NumberRole = ""
    """Role of a number of places that begin at the value: the last of them must lie within the limits too."""
    low: float | None = None
    """For `numbers`: the lowest value allowed."""
    high: float | None = None
    """For `numbers`: the highest value allowed."""

    @model_validator(mode="after")
    def _has_limits(self) -> Self:
        if self.limits == "numbers" and self.low is None and self.high is None:
            raise ValueError("the rule has no limits -- with `limits: numbers` give `low`, `high` or both")
        if self.limits != "numbers" and (self.low, self.high) != (None, None):
            raise ValueError(
                "`low` and `high` have no effect here -- write `limits: numbers`, or leave them out"
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
    """Role of the lower range value."""
    high: NumberRole
    """Role of the upper one."""


class InOrder(Written):
    """Settings are in rising order, none equal; those not set, or not read, are skipped."""

    kind: Literal["in-order"]
    roles: Annotated[tuple[NumberRole, ...], Field(min_length=2), OnceEach]
    """Their roles, in rising order."""


class DeadbandWorkable(Written):
    """The deadband is above zero; each alarm clears within the range, before its neighbour comes on."""

    kind: Literal["deadband-workable"]
    deadband: NumberRole
    """Role of the deadband."""
    roles: Annotated[tuple[NumberRole, ...], Field(min_length=1), OnceEach]
    """Roles of the setpoints, in rising order."""
    between: Annotated[tuple[NumberRole, NumberRole], OnceEach] | None = None
    """Roles of the lower and the upper end of the range; if left out, alarms may clear anywhere."""


class PlannedBeside(Written):
    """A value is planned where most others of its kind have one planned."""

    kind: Literal["planned-beside"]
    roles: tuple[RoleName, ...] = ()
    """Roles to look at."""
    critical: bool = False
    """Whether to look also at all settings that their device type marks as critical."""
    among: Literal["network", "type"]
    """Whose values count: those of the other nodes of the network, or of the other devices of the type."""


class OneOf(Chosen):
    """The value is one of a list."""

    kind: Literal["one-of"]
    values: tuple[Scalar, ...] = ()
    """The values allowed; if left out, the plan's list for the setting, under `approved`."""

    @model_validator(mode="after")
    def _holds_no_codes(self) -> Self:
        if self.values and "access_code" in self.roles:
            raise ValueError("a rule must not hold access codes -- take the values out, and change the codes")
        return self


class WithinCapacity(Written):
    """A network has no more nodes or reports than its gateway can serve."""

    kind: Literal["within-capacity"]
    of: Literal["nodes", "reports"]
    """What is counted."""


class WordOrder(Written):
    """The host shows what the device shows, without its two words having to be swapped."""

    kind: Literal["word-order"]
    device: NumberRole
    """Role of the number read at the device."""
    host: NumberRole
    """Role of the number that the host shows."""


class Expression(Written):
    """An expression in the Common Expression Language (CEL); if it is true, that is a finding."""

    kind: Literal["expression"]
    when: Annotated[str, Field(min_length=1, max_length=2000)]
    """It uses `found.NAME` and `planned.NAME`, where NAME is a role or setting listed below."""
    needs: tuple[str, ...] = ()
    """Names that must have a value; a device that lacks one is not looked at."""
    may_use: tuple[str, ...] = ()
    """Names that may be blank; the expression then sees null."""
    side_by_side: bool = False
    """Whether the numbers are compared with each other: a device is looked at only if their units convert
    into one, and if what it needs was not read on different days."""
    message: str = ""
    """What the finding says; if left out, the rule's title."""
